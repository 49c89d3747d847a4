// One script serves every panel; `part` says which it is.

const PARTS = { table: Table, question: Question, stage: Stage };
if (typeof Listening === "function") PARTS.listening = Listening; // in its own panel only

export default {
  render({ model, el }) {
    const view = new PARTS[model.get("part")](model, el);
    return () => view.remove();
  },
};
