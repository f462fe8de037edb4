import type { Procedure, Step } from "../../../src/program/procedure.js";
import { HERE, is, procedure, set, step } from "../../support/anser-program.js";

/** A random structured procedure of about `size` steps, with every construct that a flowchart draws. The same seed gives the same one. */
export function randomProcedure(seed: number, size: number): Procedure {
  const random = new Random(seed);
  const steps: Step[] = [];
  while (random.made < size) steps.push(...new Maker(random).list(3, 6));
  return procedure(steps, {
    id: `random-${seed}`,
    title: `Random procedure ${seed}`,
    crew: new Map([
      ["eng", "Duty engineer"],
      ["mate", "Chief mate"],
    ]),
  });
}

/** Mulberry32: a small generator of numbers that look random, published in the public domain. */
class Random {
  made = 0;
  constructor(private state: number) {}

  below(limit: number): number {
    this.state = (this.state + 0x6d2b79f5) | 0;
    let t = Math.imul(this.state ^ (this.state >>> 15), 1 | this.state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) % limit;
  }

  pick<T>(from: readonly T[]): T {
    return from[this.below(from.length)] as T;
  }
}

const TEXTS = [
  "Read both day tanks",
  "Listen for knocking, look for leaks under the plates and call out what you find to the one who reads",
  "Ventilate",
  "Close the sea inlet valve of the port strainer by hand",
  "Superkalifragilistisch-ungewöhnlichlangeswort prüfen",
];

class Maker {
  constructor(
    private readonly random: Random,
    private readonly inLane = false,
  ) {}

  list(depth: number, most: number): Step[] {
    const count = 1 + this.random.below(most);
    const steps = Array.from({ length: count }, () => this.step(depth));
    return this.random.below(7) === 0 ? [...steps, this.end()] : steps;
  }

  private step(depth: number): Step {
    this.random.made += 1;
    const kind = this.random.below(depth > 0 ? 24 : 8);
    const number = String(this.random.made);
    const more = {
      number,
      by: this.random.pick([["eng"], ["mate"], ["eng", "mate"]]),
      critical: this.random.below(10) === 0,
      ...(this.random.below(12) === 0 ? { warning: this.random.pick(TEXTS) } : {}),
    };
    const condition = this.random.pick([
      is("breaker", "closed"),
      is("generator", "ready", "equipment"),
      { kind: "for", of: is("generator", "ready", "equipment"), milliseconds: 60_000, span: HERE } as const,
      {
        kind: "and",
        of: [
          is("breaker", "open"),
          is("cooling-pump.port", "off"),
          is("cooling-pump.starboard", "on"),
          is("silence", "rest"),
        ],
        span: HERE,
      } as const,
    ]);
    const inner = () => this.list(depth - 1, 4);
    switch (kind) {
      case 0:
      case 1:
        return set(["breaker"], "open", more);
      case 2:
      case 3:
        return set(["cooling-pump.port", "cooling-pump.starboard"], "off", more, "verify");
      case 4:
      case 5:
        return step({ kind: "do", text: this.random.pick(TEXTS) }, more);
      case 6:
        return step({ kind: "say", lines: [{ who: "eng", text: "Clear?" }, { text: "Clear." }] }, more);
      case 7:
        return step(
          {
            kind: "perform",
            target: { kind: "procedure", id: "other", title: "Load essentials" },
            begins: [],
            steps: [],
          },
          more,
        );
      case 8:
      case 9:
        return step(
          { kind: "check", condition, ifNot: [...inner(), ...(this.random.below(2) ? [this.end()] : [])] },
          more,
        );
      case 10:
      case 11:
        // biome-ignore lint/suspicious/noThenProperty: a word of the language
        return step({ kind: "if", condition, then: inner(), else: this.random.below(2) ? inner() : [] }, more);
      case 12:
        return step({ kind: "decide", ways: this.ways(depth, condition) }, more);
      case 13:
        return step({ kind: "choose", title: "Which is nearer?", options: this.options(depth) }, more);
      case 14:
      case 15:
        return step(
          {
            kind: "repeat",
            steps: inner(),
            until: condition,
            moves: [],
            ...(this.random.below(2) ? { every: 300_000 } : {}),
          },
          more,
        );
      case 16:
        return step(
          { kind: "wait-for", condition, within: 15_000, ifNot: inner(), steps: this.random.below(2) ? inner() : [] },
          more,
        );
      case 17:
        return step({ kind: "watch", condition, ifNot: inner() }, more);
      case 18:
        return step(
          {
            kind: "section",
            title: this.random.pick(["Start", "Before the load is taken over by the board"]),
            steps: inner(),
          },
          more,
        );
      case 19:
        return step({ kind: "memory", steps: inner() }, more);
      case 20:
        return this.hold(inner(), more);
      case 21:
        return this.observe(inner, more);
      case 22:
        return this.inLane ? set(["silence"], "rest", more) : this.together(depth, more);
      default:
        return step({ kind: "check", condition, ifNot: [this.end()] }, more);
    }
  }

  private end(): Step {
    const more = { number: String(++this.random.made) };
    switch (this.random.below(3)) {
      case 0:
        return step({ kind: "finish" }, more);
      case 1:
        return step({ kind: "go-to", procedure: "load-essentials" }, more);
      default:
        return step({ kind: "set-aside", text: this.random.pick(TEXTS) }, more);
    }
  }

  private ways(depth: number, condition: ReturnType<typeof is>) {
    const count = 1 + this.random.below(3);
    const ways = Array.from({ length: count }, () => ({ condition, steps: this.list(depth - 1, 3), span: HERE }));
    return this.random.below(3) === 0 ? ways : [...ways, { steps: this.list(depth - 1, 3), span: HERE }];
  }

  private options(depth: number) {
    const count = 1 + this.random.below(4);
    const title = () => this.random.pick(["Port", "By hand, at the valve itself", "From the bridge"]);
    return Array.from({ length: count }, () => ({
      title: title(),
      steps: this.random.below(5) ? this.list(depth - 1, 3) : [],
    }));
  }

  private hold(steps: readonly Step[], more: object): Step {
    const moves = [
      { choice: "each" as const, controls: ["start-key"], written: "start-key", position: "crank", span: HERE },
    ];
    return step(
      { kind: "hold", moves, for: { milliseconds: 15_000, upTo: true }, steps: this.random.below(2) ? steps : [] },
      more,
    );
  }

  private observe(inner: () => Step[], more: object): Step {
    const lights = ["low-oil", "overspeed", "ready"];
    const keys = lights.slice(0, this.random.below(4));
    const ifNot = keys.length === 0 ? [] : keys.map((light) => ({ light, steps: inner() }));
    const lit = this.random.below(2) ? lights.map((light) => ({ light, span: HERE })) : [];
    return step({ kind: "observe", lights, set: "alarm-panel", lit, count: new Map(), ifNot }, more);
  }

  /** Two lanes with meetings, in some of which each waits for the other for ever. */
  private together(depth: number, more: object): Step {
    const lane = () => new Maker(this.random, true).list(Math.min(depth - 1, 1), 6);
    const [one, two] = [lane(), lane()];
    const meet = (steps: Step[], other: readonly Step[]): Step[] => {
      const waits = Array.from({ length: this.random.below(3) }, () => {
        const number = String(++this.random.made);
        const of = this.random.pick(other).name;
        return step(
          { kind: "wait-for", condition: { kind: "done", step: of, span: HERE }, ifNot: [], steps: [] },
          { number },
        );
      });
      return waits.reduce((list, wait) => list.toSpliced(this.random.below(list.length + 1), 0, wait), steps);
    };
    const lanes = [
      { by: "eng", steps: meet(one, two) },
      { by: "mate", steps: meet(two, one) },
    ];
    return step({ kind: "together", lanes }, more);
  }
}
