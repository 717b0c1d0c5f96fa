// @ts-check
/**
 * What the desk adds to the text editor: its name for screen readers, completion, marks, the place
 * of the cursor, and changes made elsewhere that can be undone.
 *
 * Positions are lines and columns from 1, columns counted in characters as Python counts them.
 */
import * as CM from "nicegui-codemirror";

/** @typedef {{ from: number, to: number }} Range */
/** @typedef {{ headers: string[], jumps: string[], values: Record<string, string[]> }} Words */

/**
 * The editor's component, once its view is there.
 * @param {number} id
 */
async function component(id) {
  // @ts-ignore: given by the page
  const found = getElement(id);
  if (found) await found.editorPromise;
  return found;
}

/**
 * Name the editor, complete words in it and report its cursor.
 * @param {number} id
 * @param {string} label
 * @param {Words} words
 */
export async function attach(id, label, words) {
  const found = await component(id);
  if (!found) return;
  const completion = [{ autocomplete: completer(words) }];
  let last = "";
  /** @param {any} update */
  const report = (update) => {
    if (!update.selectionSet && !update.docChanged) return;
    const head = update.state.selection.main.head;
    const line = update.state.doc.lineAt(head);
    const column = [...line.text.slice(0, head - line.from)].length + 1;
    const place = `${line.number}:${column}`;
    if (place === last) return;
    last = place;
    // @ts-ignore: given by the page
    emitEvent("desk_cursor", { line: line.number, column });
  };
  found.editor.dispatch({
    effects: CM.StateEffect.appendConfig.of([
      CM.EditorView.contentAttributes.of({ "aria-label": label, spellcheck: "false" }),
      CM.EditorView.updateListener.of(report),
      CM.EditorState.languageData.of(() => completion),
    ]),
  });
}

/**
 * Completion of header names at the start of a line, of their values, and of jumps among bars.
 * @param {Words} words
 */
function completer(words) {
  /** @param {any} context */
  return (context) => {
    const line = context.state.doc.lineAt(context.pos);
    const before = line.text.slice(0, context.pos - line.from);
    /** @param {string} text @param {string[]} options @param {RegExp} validFor */
    const offer = (text, options, validFor) => ({
      from: context.pos - text.length,
      options: options.map((option) => ({ label: option, type: "text" })),
      validFor,
    });
    const header = /^[A-Za-z]*$/.exec(before);
    if (header && (header[0].length > 0 || context.explicit)) {
      return offer(header[0], words.headers, /^[A-Za-z]*:?$/);
    }
    const value = /^(\w+):\s*(\S*)$/.exec(before);
    if (value) {
      const known = words.values[value[1]];
      return known ? offer(value[2], known, /^\S*$/) : null;
    }
    const jump = /(?:^|\s)([A-Z][A-Za-z.]+(?: [A-Za-z. ]*)?)$/.exec(before);
    return jump && before.includes("|") ? offer(jump[1], words.jumps, /^[A-Za-z. ]*$/) : null;
  };
}

/**
 * Mark ranges and give lines their tooltips, if the text is still the one they were found in.
 * @param {number} id
 * @param {string} text
 * @param {object[]} specs
 * @param {Record<string, string>} tooltips
 */
export async function mark(id, text, specs, tooltips) {
  const found = await component(id);
  if (!found || found.editor.state.doc.toString() !== text) return;
  found.setDecorations(specs);
  found.setLineTooltips(tooltips);
}

/**
 * Change the text as one step that undo takes back; only what differs is replaced.
 * @param {number} id
 * @param {string} text
 */
export async function rewrite(id, text) {
  const found = await component(id);
  if (!found) return;
  const old = found.editor.state.doc.toString();
  let start = 0;
  while (start < old.length && start < text.length && old[start] === text[start]) start++;
  let oldEnd = old.length;
  let newEnd = text.length;
  while (oldEnd > start && newEnd > start && old[oldEnd - 1] === text[newEnd - 1]) {
    oldEnd--;
    newEnd--;
  }
  found.editor.dispatch({
    changes: { from: start, to: oldEnd, insert: text.slice(start, newEnd) },
    annotations: [CM.Transaction.userEvent.of("input.desk"), CM.isolateHistory.of("full")],
  });
}

/**
 * Begin to type in a new tune: its title is selected.
 * @param {number} id
 */
export async function begin(id) {
  const found = await component(id);
  if (!found) return;
  const { from, to, text } = found.editor.state.doc.line(1);
  found.editor.dispatch({ selection: { anchor: from + text.indexOf(": ") + 2, head: to } });
  found.editor.focus();
}

/**
 * Set the cursor at a place and show it.
 * @param {number} id
 * @param {number} lineNumber
 * @param {number} column
 * @param {boolean} focus
 */
export async function goTo(id, lineNumber, column, focus) {
  const found = await component(id);
  if (!found) return;
  const doc = found.editor.state.doc;
  const line = doc.line(Math.max(1, Math.min(lineNumber, doc.lines)));
  const before = [...line.text].slice(0, column - 1).join("").length;
  found.editor.dispatch({ selection: { anchor: line.from + before }, scrollIntoView: true });
  if (focus) found.editor.focus();
}
