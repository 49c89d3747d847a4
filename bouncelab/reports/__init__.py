"""What is handed out on paper or read as a page: reports, floor papers, notes."""
