/** A text as a message repeats it: on one line, and cut where it is long. */
export function short(text: string): string {
  const line = text.slice(0, 200).replace(/\s+/g, " ");
  return line.length > 40 ? `${line.slice(0, 37)}...` : line;
}

/** Words in code marks, with commas. */
export function listed(words: readonly string[]): string {
  return words.map((word) => `\`${word}\``).join(", ");
}
