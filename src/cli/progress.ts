/** Says on a terminal, after a second and then four times a second, for how long something has been going on; wipes the line when it is over. */
export class Progress {
  readonly #write: (text: string) => void;
  readonly #began: number;
  #shown: number | undefined;

  /** `write` goes to a terminal; times are in milliseconds. */
  constructor(write: (text: string) => void, began: number) {
    this.#write = write;
    this.#began = began;
  }

  tick(now: number): void {
    const since = this.#shown ?? this.#began + FIRST - EVERY;
    if (now - since < EVERY) return;
    this.#shown = now;
    this.#write(`\r${WIPE}proving, ${Math.floor((now - this.#began) / 1000)} s`);
  }

  end(): void {
    if (this.#shown !== undefined) this.#write(`\r${WIPE}`);
  }
}

const FIRST = 1000;
const EVERY = 250;
/** Erase to the end of the line: ECMA-48 EL. */
const WIPE = "\u001b[K";
