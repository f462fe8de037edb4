import { but, type Draft, type Micro, micro, press } from "../../support/micro.js";

/** A puzzle of moves on states: what the crew may do, and what each move makes of a state; undefined where it cannot be made. */
export interface Puzzle<State> {
  readonly states: readonly State[];
  readonly name: (state: State) => string;
  readonly start: State;
  readonly goal: (state: State) => boolean;
  readonly hazard: (state: State) => boolean;
  readonly moves: Readonly<Record<string, (state: State) => State | undefined>>;
}

/**
 * The puzzle as a device. Each move is a key that is pressed; a change `x to y when pressed` would run on, so each state
 * has a twin that is entered on the press and left on the release. A move needs a state in which it can be made.
 */
export function cardOf<State>(puzzle: Puzzle<State>, moves: readonly string[]): Micro {
  const { name } = puzzle;
  const keys = Object.keys(puzzle.moves);
  const changes = puzzle.states.flatMap((state) => {
    const pressed = keys.flatMap((key) => {
      const next = puzzle.moves[key]!(state);
      return next === undefined ? [] : [`${name(state)}>${name(next)}-held when key is ${key}`];
    });
    return [...pressed, `${name(state)}-held>${name(state)} when key is rest`];
  });
  const names = puzzle.states.flatMap((state) => [name(state), `${name(state)}-held`]);
  const hazards = puzzle.states.filter(puzzle.hazard).map(name);
  const goals = puzzle.states.filter(puzzle.goal).map(name);
  const springs = keys.map((key) => `${key}>rest`).join(" ");
  const world = [
    `ctl key: rest ${keys.join(" ")}, springs ${springs}`,
    `eq it: ${names.join(" ")}; ${changes.join("; ")}`,
    ...(hazards.length > 0 ? [`rule hazard: never it is ${hazards.join("/")}`] : []),
  ];
  const steps = moves.map((move): Draft => {
    const from = puzzle.states.filter((state) => puzzle.moves[move]!(state) !== undefined).map(name);
    return but(press(`key ${move}`), { needs: `it is ${from.join("/")}` });
  });
  return micro(world.join("\n"), {
    begins: [`it is ${name(puzzle.start)}`],
    ends: [`it is ${goals.join("/")}`],
    steps,
  });
}

/** Plays the moves by the rules of the puzzle itself: every move can be made, no hazard is met, and the goal is reached. */
export function solves<State>(puzzle: Puzzle<State>, moves: readonly string[]): boolean {
  let state = puzzle.start;
  for (const move of moves) {
    const next = puzzle.moves[move]!(state);
    if (next === undefined || puzzle.hazard(next)) return false;
    state = next;
  }
  return puzzle.goal(state);
}

/** The length of the shortest solution, and how many there are of that length. */
export function shortest<State>(puzzle: Puzzle<State>): { length: number; solutions: number } {
  let layer = new Map([[puzzle.name(puzzle.start), { state: puzzle.start, ways: 1 }]]);
  const seen = new Set(layer.keys());
  for (let length = 0; layer.size > 0; length++) {
    const done = [...layer.values()].filter(({ state }) => puzzle.goal(state));
    if (done.length > 0) return { length, solutions: done.reduce((sum, { ways }) => sum + ways, 0) };
    const next: typeof layer = new Map();
    for (const { state, ways } of layer.values())
      for (const move of Object.values(puzzle.moves)) {
        const to = move(state);
        if (to === undefined || puzzle.hazard(to) || seen.has(puzzle.name(to))) continue;
        next.set(puzzle.name(to), { state: to, ways: ways + (next.get(puzzle.name(to))?.ways ?? 0) });
      }
    for (const key of next.keys()) seen.add(key);
    layer = next;
  }
  return { length: Infinity, solutions: 0 };
}

/** Every card with one line dropped, and every card with two lines that follow one another swapped. */
export function neighbours(moves: readonly string[]): string[][] {
  const dropped = moves.map((_, index) => moves.toSpliced(index, 1));
  const swapped = moves.slice(1).map((move, index) => moves.with(index, move).with(index + 1, moves[index]!));
  return [...dropped, ...swapped];
}
