const graphemes = new Intl.Segmenter("en", { granularity: "grapheme" });

/** Columns that a text takes on a terminal: one for each character as read, accents included. */
export function columnsOf(text: string): number {
  if (/^[\x20-\x7e]*$/.test(text)) return text.length;
  return [...graphemes.segment(text)].length;
}

/** The text in lines of at most `width` columns, broken at spaces; a word that is wider is cut. Never empty. */
export function wrapText(text: string, width: number): readonly string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ").flatMap((word) => cutWord(word, width))) {
    if (line && columnsOf(line) + 1 + columnsOf(word) > width) {
      lines.push(line);
      line = word;
    } else line = line ? `${line} ${word}` : word;
  }
  return [...lines, line];
}

/** `text` padded on the right to `width` columns. */
export function padRight(text: string, width: number): string {
  return text + " ".repeat(Math.max(0, width - columnsOf(text)));
}

function cutWord(word: string, width: number): readonly string[] {
  if (columnsOf(word) <= width) return [word];
  const letters = [...graphemes.segment(word)].map((part) => part.segment);
  const parts: string[] = [];
  for (let at = 0; at < letters.length; at += width) parts.push(letters.slice(at, at + width).join(""));
  return parts;
}
