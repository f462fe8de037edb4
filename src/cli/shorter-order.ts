import type { Finding } from "../diagnostics/finding.js";
import { nameOf } from "../emit/card/names.js";
import type { Words } from "../emit/card/wording.js";
import { stepText } from "../emit/graph/reliance.js";
import { panelPaths, panelSurvey } from "../emit/map/map.js";
import { moveOf, type Path, type Whereabouts } from "../emit/map/path.js";
import { type Learned, type Plan, planOrder } from "../order/plan.js";
import type { OrderProblem } from "../order/problem.js";
import type { Procedure, Step } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import { type Fixed, type Line, linesOf, mayPass, reordered, stepsOf, whyUnitStays } from "../prove/order/lines.js";
import { type Tie, tiesOf } from "../prove/order/ties.js";
import { Trial } from "../prove/order/trial.js";
import type { OrderLine, OrderReport, OrderTie, OrderWay } from "../report/order.js";

export interface ShorterOptions {
  readonly deadline: () => boolean;
}

/**
 * Looks for an order of the lines with fewer and shorter moves of hand and eye that breaks nothing: walks between areas first, then moves
 * between panels, then millimetres; critical lines before all of that. One person after the other, since lines of different people
 * do not pass each other.
 */
export function shorterOrder(program: Program, procedure: Procedure, { deadline }: ShorterOptions): OrderReport {
  const survey = surveyOf(program, procedure);
  const { lines } = survey;
  const ties = tiesOf(program, procedure, lines);
  const trial = new Trial(program, procedure, lines, { deadline });
  let order: readonly number[] = [...lines.keys()];
  const plans: { readonly plan: Plan<Finding>; readonly nodes: readonly number[] }[] = [];
  for (const person of survey.people) {
    const nodes = order.filter((line) => survey.ends(line, person));
    if (!canMove(nodes, lines, person)) continue;
    const present = order;
    const breaks = (row: readonly number[]) =>
      trial.breaks(merged(present, nodes, row).map((at) => lines[at]!.step.name));
    const plan = planOrder(problemOf(survey, person, nodes, ties), breaks, { deadline, certify: CERTIFY });
    order = merged(present, nodes, plan.order);
    plans.push({ plan, nodes });
  }
  const isProved = isPresent(order) || !trial.breaksInFull(order.map((at) => lines[at]!.step.name));
  const kept = isProved ? order : [...lines.keys()];
  return reportOf(program, procedure, survey, { order: kept, ties, plans, isProved, tried: trial.count });
}

function isPresent(order: readonly number[]): boolean {
  return order.every((line, index) => line === index);
}

/** Orders that may be tried to show that none is shorter. */
const CERTIFY = 150;

interface Survey {
  readonly lines: readonly Line[];
  readonly people: readonly string[];
  /** Where a line begins and ends for a person; undefined where it takes them nowhere. */
  readonly ends: (
    line: number,
    person: string,
  ) => { readonly first: Whereabouts; readonly last: Whereabouts } | undefined;
  readonly panelsOf: (line: number) => readonly string[];
}

function surveyOf(program: Program, procedure: Procedure): Survey {
  const { stops, places } = panelSurvey(program, procedure);
  const placed = stops.flatMap((stop) => {
    const place = places.get(stop.thing);
    return place ? [{ ...stop, place }] : [];
  });
  const system = program.systems.get(procedure.system);
  const lines = linesOf(procedure, (step, by) => {
    const own = new Set(stepsOf(step).map(({ name }) => name));
    return placed.some((stop) => stop.by === by && own.has(stop.step));
  });
  const names = lines.map(({ step }) => new Set(stepsOf(step).map(({ name }) => name)));
  const of = (line: number) => placed.filter(({ step }) => names[line]!.has(step));
  return {
    lines,
    people: [...new Set(placed.map(({ by }) => by))],
    ends: (line, person) => {
      const own = of(line).filter(({ by }) => by === person);
      return own[0] && { first: own[0].place, last: own.at(-1)!.place };
    },
    panelsOf: (line) => [
      ...new Set(of(line).map(({ place }) => system?.panels.get(place.spot.panel)?.title ?? place.spot.panel)),
    ],
  };
}

function canMove(nodes: readonly number[], lines: readonly Line[], person: string): boolean {
  const own = nodes.map((at) => lines[at]!).filter(({ by }) => by === person);
  return own.some((line, index) => own.slice(index + 1).some((other) => mayPass(line, other)));
}

/** The present order with the places of some lines taken by them in another order. */
function merged(present: readonly number[], nodes: readonly number[], row: readonly number[]): readonly number[] {
  const own = new Set(nodes);
  const next = row.map((node) => nodes[node]!);
  let at = 0;
  return present.map((line) => (own.has(line) ? next[at++]! : line));
}

/**
 * In whole numbers, each kind of cost above all that the next can come to, so that a saving of one kind is never paid with another. Last of
 * all, of orders that are as short the one that leaves most lines behind the same line as before.
 */
function problemOf(survey: Survey, person: string, nodes: readonly number[], ties: readonly Tie[]): OrderProblem {
  const ends = nodes.map((line) => survey.ends(line, person)!);
  const moves = ends.map((from) =>
    ends.map((to) => ({ ...moveOf(from.last, to.first), known: isKnown(from.last, to.first) })),
  );
  const length = (from: number, to: number) => (moves[from]![to]!.known ? Math.round(moves[from]![to]!.length) : 0);
  const jump = 1 + nodes.reduce((sum, _, from) => sum + Math.max(...nodes.map((__, to) => length(from, to))), 0);
  const walk = jump * (nodes.length + 1);
  const late = walk * (nodes.length + 1);
  const neighbours = nodes.length;
  const units = [...new Set(survey.lines.map(({ unit }) => unit))];
  const before = nodes.flatMap((line, first) =>
    nodes.flatMap((other, second): (readonly [number, number])[] => {
      if (second <= first) return [];
      const [one, two] = [survey.lines[line]!, survey.lines[other]!];
      return one.by === person && mayPass(one, two) && !isTied(ties, line, other) ? [] : [[first, second]];
    }),
  );
  return {
    costs: moves.map((row, from) =>
      row.map((move, to) => {
        const way = length(from, to) + (move.jump ? jump : 0) + (move.walk ? walk : 0);
        return way * neighbours + (to === from + 1 ? 0 : 1);
      }),
    ),
    before,
    early: nodes.map((line) => (survey.lines[line]!.step.critical ? late * neighbours : 0)),
    groups: nodes.map((line) => units.indexOf(survey.lines[line]!.unit)),
  };
}

function isKnown(from: Whereabouts, to: Whereabouts): boolean {
  return !from.schematic && !to.schematic;
}

function isTied(ties: readonly Tie[], line: number, other: number): boolean {
  return ties.some(({ first, second }) => first === Math.min(line, other) && second === Math.max(line, other));
}

interface Outcome {
  readonly order: readonly number[];
  readonly ties: readonly Tie[];
  readonly plans: readonly { readonly plan: Plan<Finding>; readonly nodes: readonly number[] }[];
  readonly tried: number;
  /** False where the order found could not be proved with all its stories: then the present one is told. */
  readonly isProved: boolean;
}

function reportOf(program: Program, procedure: Procedure, survey: Survey, outcome: Outcome): OrderReport {
  const { lines } = survey;
  const { order, plans } = outcome;
  const words: Words = { system: program.systems.get(procedure.system)!, numberOf: () => undefined };
  const names = order.map((at) => lines[at]!.step.name);
  const after = { ...procedure, steps: reordered(procedure.steps, lines, names) };
  const changed = panelPaths(program, after);
  return {
    project: program.project.title,
    procedure: procedure.id,
    title: procedure.title,
    file: procedure.span.file.path,
    lines: lines.map((line, at) => ({
      ...lineOf(program, words, line, survey.panelsOf(at)),
      free: isFree(line, lines),
    })),
    sections: sectionsOf(lines),
    order,
    ways: panelPaths(program, procedure).map((before) => ({
      who: procedure.crew.get(before.by) ?? before.by,
      before: wayOf(before),
      after: wayOf(changed.find(({ by }) => by === before.by) ?? before),
    })),
    ties: tiesToTell(words, lines, outcome),
    optimal: outcome.isProved ? worstOf(plans.map(({ plan }) => plan.optimal)) : "open",
    finished: outcome.isProved && plans.every(({ plan }) => plan.finished),
    tried: outcome.tried,
  };
}

function worstOf(all: readonly OrderReport["optimal"][]): OrderReport["optimal"] {
  if (all.includes("open")) return "open";
  return all.includes("exact") ? "exact" : "all-tried";
}

function wayOf({ jumps, returns, walks, length }: Path): OrderWay {
  return { moves: jumps, returns, walks, ...(length === undefined ? {} : { millimetres: Math.round(length) }) };
}

/** Is there another line that it could change places with? */
function isFree(line: Line, lines: readonly Line[]): boolean {
  return lines.some((other) => other !== line && mayPass(line, other));
}

/** Each section with why it stays where it is, if it does. */
function sectionsOf(lines: readonly Line[]): OrderReport["sections"] {
  const units = [...new Set(lines.map(({ unit }) => unit))];
  return units.flatMap((unit) => {
    if (unit.kind !== "section") return [];
    const own = lines.filter((line) => line.unit === unit);
    const fixed = whySectionStays(own, lines);
    return [{ title: unit.title, lines: own.map(({ step }) => step.name), ...(fixed ? { fixed } : {}) }];
  });
}

function whySectionStays(own: readonly Line[], lines: readonly Line[]): string | undefined {
  const [first] = own;
  const staying = own.filter(({ fixed }) => fixed).map(({ step }) => step.number || step.kind);
  if (staying.length > 0) return `${staying.join(", ")} in it ${staying.length === 1 ? "is" : "are"} not moved`;
  if (whyUnitStays(own)) return FIXED.several;
  const isAlone = !lines.some((other) => other.unit !== first!.unit && other.run === first!.run);
  return isAlone ? "nothing beside it may pass it" : undefined;
}

function lineOf(
  program: Program,
  words: Words,
  { step, unit, fixed }: Line,
  panels: readonly string[],
): Omit<OrderLine, "free"> {
  const text = stepText(program, words, step).join("; ").replace(/:; /g, ": ");
  return {
    number: step.number,
    name: step.name,
    text,
    panels,
    critical: step.critical,
    ...(unit.kind === "section" ? { section: unit.title } : {}),
    ...(step.ref === undefined ? {} : { ref: step.ref }),
    ...(fixed ? { fixed: `${isInside(step, fixed) ? "inside it " : ""}${FIXED[fixed]}` } : {}),
  };
}

/** Does a line stay for what is inside it? */
function isInside({ kind }: Step, fixed: Fixed): boolean {
  return HOLDING.has(kind) && fixed !== "no-place" && fixed !== "other-card";
}

const HOLDING: ReadonlySet<Step["kind"]> = new Set(["if", "decide", "choose", "repeat", "hold", "perform"]);

const FIXED: Readonly<Record<Fixed, string>> = {
  waits: "a wait is for what stands before it",
  "at-once": "two people work at once there",
  several: "several people work in it",
  "other-card": "another card is performed there",
  people: "the model does not say what it depends on",
  ends: "the card ends there",
  "from-here-on": "it holds for all that comes after it",
  memory: "memory items are learnt in their order",
  "no-place": "it has no place on a panel",
};

/** Those that do not follow from others, one for each pair of sections; what the prover found beside what the model says. */
function tiesToTell(words: Words, lines: readonly Line[], { ties, plans }: Outcome): readonly OrderTie[] {
  const unitsOf = ({ first, second }: Tie) => [lines[first]!.unit, lines[second]!.unit];
  const told = ties.filter((tie, index) => {
    const [one, other] = unitsOf(tie);
    const before = ties.slice(0, index).map(unitsOf);
    return one === other || !before.some((units) => units[0] === one && units[1] === other);
  });
  const known = told.map((tie) => ({ first: tie.first, second: tie.second, because: tieText(words, lines, tie) }));
  const learned = plans.flatMap(({ plan, nodes }) => plan.learned.map((one) => learnedTie(nodes, one)));
  const all: readonly OrderTie[] = [...known, ...learned];
  const follows = ({ first, second }: OrderTie) =>
    all.some((one) => one.first === first && reaches(all, one.second, second));
  return all.filter((tie) => !follows(tie)).toSorted((a, b) => a.first - b.first || a.second - b.second);
}

function reaches(ties: readonly OrderTie[], from: number, to: number): boolean {
  return from < to && ties.some(({ first, second }) => first === from && (second === to || reaches(ties, second, to)));
}

function learnedTie(nodes: readonly number[], { first, second, why }: Learned<Finding>): OrderTie {
  return { first: nodes[first]!, second: nodes[second]!, because: why.message.split("\n")[0]!, code: why.code };
}

function tieText(words: Words, lines: readonly Line[], { first, second, because }: Tie): string {
  const thing = because.kind === "leaves" ? "" : (nameOf(words.system, because.thing) ?? because.thing);
  switch (because.kind) {
    case "same":
      return `both work on ${thing}`;
    case "looks":
      return `what ${lines[because.looker]!.step.number} looks at depends on ${thing}, which ${
        lines[because.looker === first ? second : first]!.step.number
      } can change`;
    case "reads":
      return `${lines[because.reader]!.step.number} reads ${thing}, and the model does not say all that moves it`;
    case "leaves":
      return `${lines[because.leaver]!.step.number} can end the card`;
  }
}
