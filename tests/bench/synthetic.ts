import {
  aside,
  but,
  check,
  type Draft,
  type Micro,
  micro,
  observe,
  repeat,
  set,
  together,
  verify,
  wait,
  waitFor,
  when,
} from "../support/micro.js";
import { Dice } from "../support/random-world.js";

export interface Size {
  readonly controls: number;
  readonly steps: number;
  readonly branches: number;
  readonly rules: number;
  /** With a loop, and with two people at once. */
  readonly lanes: boolean;
}

/** A plant of that size, its card and its rules, all made up by the seed: a tenth as many named conditions, half as many lights, ten pieces of equipment. */
export function synthetic(seed: number, size: Size): Micro {
  return new Maker(new Dice(seed), size).make();
}

class Maker {
  readonly #dice: Dice;
  readonly #size: Size;
  readonly #positions = new Map<string, readonly string[]>();
  readonly #conditions: string[] = [];
  readonly #lights: string[] = [];
  readonly #pieces = Array.from({ length: 10 }, (_, index) => `e${index}`);

  constructor(dice: Dice, size: Size) {
    this.#dice = dice;
    this.#size = size;
  }

  make(): Micro {
    const lines = [...this.#controls(), ...this.#named(), ...this.#equipment(), ...this.#lit(), "gauge g: 0 to 100"];
    for (let index = 0; index < 5; index++) lines.push(`sig o${index}: no yes`);
    const steps = this.#card();
    const rules = Array.from({ length: this.#size.rules }, (_, index) => `rule r${index}: ${this.#rule()}`);
    const begins = this.#pieces.map((piece) => `${piece} is x`);
    return micro([...lines, ...rules].join("\n"), { begins, ends: [this.#handle(), this.#handle()], steps });
  }

  #controls(): string[] {
    return Array.from({ length: this.#size.controls }, (_, index) => {
      const positions = this.#dice.chance(0.3) ? ["off", "low", "high"] : ["off", "on"];
      this.#positions.set(`c${index}`, positions);
      return `ctl c${index}: ${positions.join(" ")}`;
    });
  }

  #named(): string[] {
    const count = Math.ceil(this.#size.controls / 10);
    const lines = Array.from({ length: count }, (_, index) => {
      const parts = [this.#handle(), this.#handle(), ...this.#some(this.#conditions)];
      return `condition d${index}: ${this.#joined(parts)}`;
    });
    for (let index = 0; index < count; index++) this.#conditions.push(`d${index}`);
    return lines;
  }

  #equipment(): string[] {
    return this.#pieces.map((piece) => {
      const [run, stop] = [this.#effect(), this.#handle()];
      return `eq ${piece}: x y z; x>y when (${run}) and not (${stop}); y>z takes ${this.#dice.pick(["10", "10..30", "20"])}; y/z>x when ${stop}`;
    });
  }

  #lit(): string[] {
    return Array.from({ length: Math.ceil(this.#size.controls / 2) }, (_, index) => {
      this.#lights.push(`l${index}`);
      return `light amber l${index}: ${this.#joined([this.#effect(), this.#thing()])}`;
    });
  }

  /** Plain steps, with the branches, the loop and the two lanes spread among them. */
  #card(): Draft[] {
    const { steps, branches, lanes } = this.#size;
    const inLanes = lanes ? 20 : 0;
    const plain = steps - branches * 6 - inLanes - (lanes ? 3 : 0);
    const list = Array.from({ length: plain }, () => this.#step());
    const blocks = Array.from({ length: branches }, () => when(this.#handle(), this.#run(3), this.#run(2)));
    if (lanes) blocks.push(repeat(this.#run(2), { until: "g >= 50", moves: ["g"] }), this.#lanes());
    for (const block of blocks) list.splice(this.#dice.number(0, list.length), 0, block);
    return list;
  }

  #lanes(): Draft {
    const own = [...this.#run(9), but(set(this.#move()), { id: "met" })];
    return together(own, [...this.#run(5), waitFor("done met"), ...this.#run(4)]);
  }

  #run(length: number): Draft[] {
    return Array.from({ length }, () => this.#step());
  }

  #step(): Draft {
    const roll = this.#dice.roll();
    if (roll < 0.55) return set(this.#move());
    if (roll < 0.8) return verify(this.#move());
    if (roll < 0.92) return this.#check();
    if (roll < 0.97) return wait(this.#dice.pick([10, 20, 30]));
    return observe(Array.from({ length: 4 }, () => this.#dice.pick(this.#lights)).join(" "), [
      this.#dice.pick(this.#lights),
    ]);
  }

  /** What fails is set right, or the card is set aside for what the crew met outside; else checks would end nearly every path. */
  #check(): Draft {
    if (this.#dice.chance(0.2)) return check(`o${this.#dice.number(0, 4)} is yes`, [aside()]);
    return check(this.#dice.chance(0.7) ? this.#handle() : this.#thing(), [set(this.#move())]);
  }

  #move(): string {
    const [control, positions] = this.#dice.pick([...this.#positions]);
    return `${control} ${this.#dice.pick(positions)}`;
  }

  #handle(): string {
    const [control, positions] = this.#dice.pick([...this.#positions]);
    return `${control} is ${this.#dice.pick(positions)}`;
  }

  #thing(): string {
    return `${this.#dice.pick(this.#pieces)} is ${this.#dice.pick(["x", "y", "z"])}`;
  }

  #effect(): string {
    return this.#dice.chance(0.6) ? this.#dice.pick(this.#conditions) : this.#handle();
  }

  #some(list: readonly string[]): string[] {
    return list.length > 0 && this.#dice.chance(0.5) ? [this.#dice.pick(list)] : [];
  }

  #joined(parts: readonly string[]): string {
    return parts.join(this.#dice.chance(0.6) ? " and " : " or ");
  }

  #any(): string {
    const roll = this.#dice.roll();
    if (roll < 0.35) return this.#handle();
    if (roll < 0.65) return this.#dice.pick(this.#conditions);
    return roll < 0.85 ? this.#thing() : `${this.#dice.pick(this.#lights)} is lit`;
  }

  #rule(): string {
    const [p, q] = [this.#any(), this.#any()];
    return this.#dice.pick([
      `never ${p} and ${q}`,
      `require ${p} when ${q}`,
      `require ${p} while ${q}`,
      `require ${p} before ${q}`,
      `require checked (${this.#handle()}) before ${q}`,
      `require ${p} after ${q} no-later-than end`,
      `require ${p} after ${q} no-later-than ${this.#any()}`,
      `at-most 2 times ${q}`,
    ]);
  }
}
