/** Throws unless `text` is one well-formed element with its text: names closed in order, attributes quoted, `<` and `&` escaped (XML 1.0). */
export function checkWellFormed(text: string): void {
  const open: string[] = [];
  let roots = 0;
  const token =
    /<(\/?)([A-Za-z][\w:-]*)((?:\s+[\w:-]+="[^"<&]*(?:&(?:amp|lt|gt|quot|#\d+);[^"<&]*)*")*)\s*(\/?)>|([^<]+)/gy;
  let end = 0;
  for (let found = token.exec(text); found; found = token.exec(text)) {
    end = token.lastIndex;
    const [, closing, name = "", , empty, words] = found;
    if (words !== undefined) {
      if (/&(?!(?:amp|lt|gt|quot|#\d+);)/.test(words)) throw new Error(`a bare & in ${words}`);
      if (open.length === 0 && words.trim() !== "") throw new Error(`text outside of the root: ${words}`);
    } else if (closing) {
      if (open.pop() !== name) throw new Error(`</${name}> closes something else`);
    } else {
      if (open.length === 0) roots += 1;
      if (!empty) open.push(name);
    }
  }
  if (end !== text.length || open.length > 0 || roots !== 1)
    throw new Error(`not one whole element, stopped at ${end}`);
}
