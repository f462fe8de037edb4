/** HTML that is already safe: made only by `html` and `raw`, so that no text can slip in unescaped. */
export class Markup {
  constructor(readonly text: string) {}
}

type Part = Markup | string | number | readonly Markup[];

/** A template whose texts are escaped; pieces of markup and lists of them are taken over. */
export function html(fixed: TemplateStringsArray, ...parts: readonly Part[]): Markup {
  return new Markup(fixed.map((text, index) => text + partText(parts[index] ?? "")).join(""));
}

/** Markup of our own making, never a text from outside. */
export function raw(text: string): Markup {
  return new Markup(text);
}

export const NOTHING = new Markup("");

/** Safe between tags and between double quotes. */
export function escapeHtml(text: string): string {
  return text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    .replaceAll("'", "&#39;");
}

function partText(part: Part): string {
  if (part instanceof Markup) return part.text;
  if (typeof part === "string") return escapeHtml(part);
  if (typeof part === "number") return String(part);
  return part.map((one) => one.text).join("");
}
