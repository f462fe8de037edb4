import type { StoryLine } from "../diagnostics/finding.js";
import type { State } from "../machine/concrete.js";
import { isIn, type Variable } from "../machine/expression.js";
import type { Model } from "../machine/model.js";
import { assigned } from "../machine/operation.js";
import { FULL } from "../machine/symbolic/bdd.js";
import type { Search } from "../machine/symbolic/search.js";
import { type Literal, type Path, type PathStep, primeImplicant } from "../machine/symbolic/trace.js";
import { replay } from "./replay.js";
import { type Telling, toldOf } from "./story-line.js";
import { startWords } from "./words.js";

/** How a finding happens, confirmed by a run on single values. */
export interface Story {
  readonly lines: readonly StoryLine[];
  /** The positions and states of the start that matter. */
  readonly literals: readonly Literal[];
}

export interface StoryOptions {
  /** Is the last state the wrong one? */
  readonly isWrong: (state: State) => boolean;
  /** Variables worth a line. */
  readonly relevant: ReadonlySet<Variable>;
  /** A last line of its own, for what goes wrong after the last moment. */
  readonly ending?: StoryLine;
  /** What the last line's act comes to, in words; empty where they say nothing more. */
  readonly outcome?: string;
}

/** The story of a path, or undefined where the run on single values does not confirm it. */
export function storyOf(search: Search, path: Path, options: StoryOptions): Story | undefined {
  const { model } = search.transitions;
  const { cause, walk } = startOf(search, path);
  const literals = [...cause, ...walk];
  const run = replay(search, path, literals, options.isWrong);
  if (!run) return undefined;
  const start = startLines(model, cause, walk);
  const relevant = new Set([...options.relevant, ...literals.map(({ variable }) => variable)]);
  const telling: Telling = { model, relevant, timeMatters: path.steps.some((step) => isTimed(step, relevant)) };
  const isLast = (index: number) => path.endsAtMoment && !options.ending && index === path.steps.length - 1;
  const lines = path.steps.flatMap((step, index) => {
    const told = toldOf(telling, step, run[index]!, run[index + 1]!);
    return told && (told.matters || isLast(index)) ? [told.line] : [];
  });
  return { lines: markLast([...start, ...merged(lines)], options), literals };
}

/** A tick that a clock worth a line counts. */
function isTimed({ transition }: PathStep, relevant: ReadonlySet<Variable>): boolean {
  const { cause, operations } = transition;
  if (cause.kind !== "edge" || cause.edge.kind !== "tick") return false;
  return operations.flatMap(assigned).some((variable) => relevant.has(variable));
}

/** What of the start makes it go wrong, and, apart from that, what it takes to come along this way at all. */
function startOf(
  search: Search,
  path: Path,
): { readonly cause: readonly Literal[]; readonly walk: readonly Literal[] } {
  const { bdd, factoring } = search.space;
  const wrong = factoring.plain(path.sets[0]!);
  const walked = path.walkable ?? search.setsAlong(path.steps, FULL, path.endsAtMoment)?.[0];
  const walkable = walked ? factoring.plain(walked) : FULL;
  const cause = primeImplicant(search, wrong, bdd.and(search.start, walkable));
  const known = cause.reduce(
    (set, literal) => bdd.and(set, search.space.set(isIn(literal.variable, literal.values))),
    search.start,
  );
  const asked = new Map(primeImplicant(search, wrong, known).map((literal) => [literal.variable, literal]));
  const walk = [...asked.values()].filter(({ variable }) => !cause.some((one) => one.variable === variable));
  return { cause: cause.map((literal) => narrowed(literal, asked.get(literal.variable))), walk };
}

/** The values that both allow. */
function narrowed({ variable, values }: Literal, other: Literal | undefined): Literal {
  return { variable, values: other ? values.filter((value) => other.values.includes(value)) : values };
}

function startLines(model: Model, cause: readonly Literal[], walk: readonly Literal[]): readonly StoryLine[] {
  const { system } = model.world;
  const [causes, walked] = [startWords(system, cause), startWords(system, walk)];
  const rest = "the rest may be anything";
  if (walked.length === 0 && causes.length > 0) return [{ when: "start", what: `${causes.join(", ")}; ${rest}` }];
  const any = model.procedure.begins.length > 0 ? "anything that `begins` allows" : "anything";
  if (walked.length === 0) return [{ when: "start", what: any }];
  const end = causes.length === 0 ? `; ${rest}` : `, to come along this way; ${rest}`;
  const hidden = walked.length - FEW;
  const brief = hidden > 1 ? { brief: `${walked.slice(0, FEW).join(", ")} and ${hidden} more${end}` } : {};
  const line = { what: `${walked.join(", ")}${end}`, ...brief };
  if (causes.length === 0) return [{ when: "start", ...line }];
  return [
    { when: "start", what: causes.join(", ") },
    { when: "with", ...line },
  ];
}

/** What is still named one by one of what a long way asks for. */
const FEW = 4;

/** Two equal lines that follow each other are told once. */
function merged(lines: readonly StoryLine[]): readonly StoryLine[] {
  return lines.filter((one, index) => {
    const previous = lines[index - 1];
    return !previous || previous.when !== one.when || previous.what !== one.what || previous.effect !== one.effect;
  });
}

function markLast(lines: readonly StoryLine[], { ending, outcome }: StoryOptions): readonly StoryLine[] {
  const last = ending ?? (outcome ? { when: "so", what: outcome } : undefined);
  const all = last ? [...lines, last] : lines;
  return all.map((one, index) => (index < all.length - 1 ? one : { ...one, broken: true }));
}
