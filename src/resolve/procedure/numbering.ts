/**
 * Numbers as printed. Steps count 1, 2, 3 through all sections; sections are lettered A, B, and one inside another A.A, one inside step 3 3.A. Steps inside a
 * step add to its number, letters and figures in turn: 3a, 3b, 3b1. All lists inside one step share one count, so that a number is
 * never said twice. A box of memory items has no number of its own.
 */
export class Counter {
  #count = 0;
  #sections = 0;

  constructor(
    private readonly prefix = "",
    private readonly letters = false,
    private readonly section = "",
  ) {}

  next(): string {
    this.#count += 1;
    return `${this.prefix}${this.letters ? lettered(this.#count).toLowerCase() : this.#count}`;
  }

  /** The count of the steps inside the step of this number. */
  inside(number: string): Counter {
    return new Counter(number, !this.letters, `${number}.`);
  }

  nextSection(): string {
    this.#sections += 1;
    return `${this.section}${lettered(this.#sections)}`;
  }

  /** Goes on counting steps where this one is, and letters the sections inside the section anew. */
  within(section: string): Counter {
    const inner = new Counter(this.prefix, this.letters, `${section}.`);
    inner.next = () => this.next();
    inner.inside = (number) => this.inside(number);
    return inner;
  }
}

/** A to Z, then AA, AB. */
function lettered(count: number): string {
  const rest = Math.floor((count - 1) / 26);
  return `${rest > 0 ? lettered(rest) : ""}${String.fromCharCode(65 + ((count - 1) % 26))}`;
}
