/** The text as a double-quoted YAML scalar on one line, with escapes for what cannot be seen. */
export function quoted(text: string): string {
  return `"${text.replace(SPECIAL, escaped)}"`;
}

const SPECIAL = /[\\"\p{Cc}\p{Zl}\p{Zp}\u202a-\u202e\u2066-\u2069\ufeff\ufffd]/gu;

const SHORT: ReadonlyMap<string, string> = new Map([
  ["\\", "\\\\"],
  ['"', '\\"'],
  ["\n", "\\n"],
  ["\t", "\\t"],
]);

function escaped(letter: string): string {
  return SHORT.get(letter) ?? `\\u${letter.charCodeAt(0).toString(16).padStart(4, "0")}`;
}
