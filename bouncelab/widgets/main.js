// One script serves every panel; `part` says which it is.

const PARTS = { table: Table, question: Question, stage: Stage };

export default {
  render({ model, el }) {
    const view = new PARTS[model.get("part")](model, el);
    return () => view.remove();
  },
};
