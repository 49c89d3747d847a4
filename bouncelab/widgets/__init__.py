"""What a student sees and touches in a notebook; nothing is computed here."""
