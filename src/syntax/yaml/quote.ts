/** The text as a double-quoted YAML scalar on one line. */
export function quoted(text: string): string {
  return `"${text.replace(/[\\"\n\t]/g, (letter) => ESCAPES.get(letter)!)}"`;
}

const ESCAPES: ReadonlyMap<string, string> = new Map([
  ["\\", "\\\\"],
  ['"', '\\"'],
  ["\n", "\\n"],
  ["\t", "\\t"],
]);
