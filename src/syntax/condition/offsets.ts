import type { ScalarNode } from "../tree.js";

/**
 * Where in the file each UTF-16 unit of a scalar's text stands, and where the text ends: one more offset than the text is long. Follows
 * folded lines, the indentation of blocks, doubled quotes and escapes.
 */
export function offsetsInFile(node: ScalarNode): readonly number[] {
  const source = node.span.file.text.slice(node.span.start, node.span.end);
  if (node.style === "plain" && source === node.text) return identity(node);
  const walk = new Walk(source, node.style);
  const offsets = Array.from(
    { length: node.text.length },
    (_, index) => node.span.start + walk.find(node.text[index]!),
  );
  offsets.push(node.span.start + walk.end());
  return offsets;
}

function identity(node: ScalarNode): number[] {
  return Array.from({ length: node.text.length + 1 }, (_, index) => node.span.start + index);
}

/** Finds the units of the text one after the other in the source, skipping what YAML takes away between them. */
class Walk {
  readonly #source: string;
  readonly #style: ScalarNode["style"];
  #next: number;
  #last = 0;

  constructor(source: string, style: ScalarNode["style"]) {
    this.#source = source;
    this.#style = style;
    this.#next = style === "plain" ? 0 : style === "block" ? source.indexOf("\n") + 1 : 1;
  }

  find(unit: string): number {
    if (LOW_SURROGATE.test(unit) && this.#source.startsWith("\\U", this.#last)) return this.#last;
    const start = this.#seek(unit);
    this.#last = Math.min(start, this.#source.length);
    this.#next = Math.min(start + this.#width(start, unit), this.#source.length);
    return this.#last;
  }

  end(): number {
    return this.#next;
  }

  #seek(unit: string): number {
    const source = this.#source;
    let at = this.#next;
    while (at < source.length && source[at] !== unit && !this.#isEscape(at)) at += 1;
    return at;
  }

  #isEscape(at: number): boolean {
    return this.#style === "double" && this.#source[at] === "\\" && !/[\r\n]/.test(this.#source[at + 1] ?? "");
  }

  #width(at: number, unit: string): number {
    if (this.#isEscape(at)) return ESCAPE_WIDTHS.get(this.#source[at + 1] ?? "") ?? 2;
    return this.#style === "single" && unit === "'" ? 2 : 1;
  }
}

/** The second unit of a letter that one escape of ten characters stands for. */
const LOW_SURROGATE = /[\udc00-\udfff]/;

const ESCAPE_WIDTHS: ReadonlyMap<string, number> = new Map([
  ["x", 4],
  ["u", 6],
  ["U", 10],
]);
