import type { Procedure, Step } from "../../../src/program/procedure.js";
import type { Program } from "../../../src/program/program.js";
import type { Change, Equipment } from "../../../src/program/system.js";
import { walkSteps } from "../../../src/program/walk.js";
import { judgeOf } from "./judge.js";
import { knownAtStart, knownLater, knownOf } from "./known.js";
import { type Scene, statements } from "./steps.js";
import { type Cells, cell, cellsOf, inWords, move, stands, Unsupported } from "./words.js";

/** One procedure in Promela, and what the numbers of its answers mean. */
export interface Part {
  readonly processes: string;
  /** A way of `init`: any start, any rule, and off. */
  readonly start: string;
  readonly questions: readonly string[];
  readonly cells: number;
  /** Things that may be known. */
  readonly known: number;
  readonly processTypes: number;
}

/**
 * A procedure as processes of Promela: one goes through the steps (and one through each lane), one is the server that
 * settles after each act, judges the moment, and lets delayed changes happen in between. Written from the page of
 * semantics; throws `Unsupported` for what it leaves out: time, gauges, fleets, `done`, `needs`, `watch`, `perform`.
 */
export function partOf(number: number, program: Program, procedure: Procedure): Part {
  const system = program.systems.get(procedure.system)!;
  const cells = cellsOf(system, knownOf(system, program.rules));
  const questions: string[] = [];
  const ask = (question: string): string => {
    if (!questions.includes(question)) questions.push(question);
    return `c_code { hit(${number}, ${questions.indexOf(question)}); }`;
  };
  const judges = program.rules.map((rule) => ({ ...judgeOf(cells, rule), say: ask(`rule ${rule.id}`) }));
  const owed = (word: string) =>
    judges.flatMap((judge, index) =>
      judge.owed ? [`if :: (rule==${index} && ${word}) -> ${judge.say} :: else -> skip fi`] : [],
    );
  const promises = procedure.ends.map(
    (promise) => `if :: !(${inWords(cells, promise)}) -> ${ask("promise")} :: else -> skip fi`,
  );
  const laneProcesses: string[] = [];
  const scene: Scene = {
    cells,
    ask,
    held: [],
    lane: 0,
    label: `x_${number}`,
    good: ["skip", ...owed("owed"), ...promises].join("; "),
    aside: ["skip", ...owed("pending")].join("; "),
    lanes: (lanes) => {
      refuseSetAsideOfHolds(lanes.flat());
      const names = lanes.map((steps, index) => {
        const name = `l_${number}_${laneProcesses.length}`;
        const label = `x_${name}`;
        const own: Scene = { ...scene, label, lane: index + 1, lanes: () => fail("lanes in lanes") };
        laneProcesses.push(process(name, `${statements(own, steps)};\nup--`, label));
        return name;
      });
      return `atomic { up = ${names.length}; ${names.map((name) => `run ${name}()`).join("; ")} };\n(up==0)`;
    },
  };
  const steps = statements(scene, procedure.steps);
  const main = process(`p_${number}`, `${steps};\nd_step { calm -> ${scene.good}; stop = 1 }`, scene.label);
  const stuck = `:: d_step { (timeout && calm && rule==${judges.length}) -> ${ask(STUCK)}; busy = 2 }`;
  const processes = [...laneProcesses, main, server(number, cells, judges, stuck)];
  return {
    processes: processes.join("\n"),
    start: start(number, cells, procedure, judges),
    questions,
    cells: cells.of.size,
    known: cells.known.size,
    processTypes: processes.length,
  };
}

/** The question whether a run can come to where nothing can happen, and it has not ended. */
export const STUCK = "flow/waits-for-ever";

/** A run that ends in one lane lets go what the other holds: not translated. */
function refuseSetAsideOfHolds(steps: readonly Step[]): void {
  const kinds = new Set([...walkSteps(steps)].map((step) => step.kind));
  if ((kinds.has("hold") || kinds.has("press")) && (kinds.has("set-aside") || kinds.has("finish")))
    fail("an end of a lane while another holds");
}

function fail(what: string): never {
  throw new Unsupported(what);
}

function process(name: string, statements: string, label: string): string {
  const wrong = statements.includes("wrong[") ? "bit wrong[8];\n" : "";
  return `proctype ${name}() {\n${wrong}${statements};\n${label}: skip\n}\n`;
}

interface Rule {
  readonly first: string;
  readonly later: string;
  readonly say: string;
}

/** Settling in rounds, all at once; then the rule; and between acts any delayed change that may fire. */
function server(number: number, cells: Cells, judges: readonly Rule[], stuck: string): string {
  const pieces = [...cells.system.equipment.values()].filter(({ changes }) => changes.some(isImmediate));
  const round = pieces.map((piece) => {
    const { index } = cell(cells, piece.id);
    const ways = piece.changes
      .filter(isImmediate)
      .map(
        (change) => `:: (${can(cells, piece, change)}) -> n[${index}] = ${target(cells, piece, change)}; changed = 1`,
      );
    return `n[${index}] = v[${index}]; ${ways.reduceRight((rest, way) => `if ${way} :: else -> ${rest} fi`, "skip")}`;
  });
  const taken = pieces.map((piece) => `v[${cell(cells, piece.id).index}] = n[${cell(cells, piece.id).index}]`);
  const settle =
    pieces.length === 0
      ? "changed = 0"
      : `rounds = 0; do :: changed = 0; ${round.join("; ")}; if :: !changed -> break :: else -> skip fi; ${taken.join("; ")}; rounds++; if :: (rounds > ${ROUNDS}) -> break :: else -> skip fi od`;
  const rules = judges.map(
    ({ later, say }, index) => `:: (rule==${index}) -> ${later}; if :: bad -> ${say} :: else -> skip fi`,
  );
  const judged = `bad = 0; if ${rules.join("\n")} :: else -> skip fi`;
  const moment = `d_step { (busy==1) -> ${settle}; if :: changed -> busy = 2 :: else -> ${knownLater(cells)}; ${judged};\nif :: bad -> busy = 2 :: else -> if :: !inpause -> owed = pending :: else -> skip fi; inpause = 0; busy = 0 fi fi }`;
  const delayed = [...cells.system.equipment.values()].flatMap((piece) =>
    piece.changes
      .filter((change) => change.takes)
      .map(
        (change) =>
          `:: d_step { (busy==0 && ${can(cells, piece, change)}) -> ${move(cells, piece.id, change.to)}; inpause = 1; busy = 1 }`,
      ),
  );
  for (const piece of cells.system.equipment.values()) refuseWatchdogs(piece);
  return `proctype m_${number}() {\ndo\n:: ${moment}\n${delayed.join("\n")}\n${stuck}\nod\n}\n`;
}

/** More rounds than two pieces of equipment with a few states have states: it comes back to earlier ones only. */
const ROUNDS = 40;

function isImmediate({ takes, anytime }: Change): boolean {
  return !takes && !anytime;
}

function can(cells: Cells, { id }: Equipment, { from, to, when }: Change): string {
  const froms = from.filter((state) => state !== to).map((state) => `(${stands(cells, id, state)})`);
  return `(${froms.join(" || ") || "0"}) && (${when ? inWords(cells, when) : "1"})`;
}

function target(cells: Cells, { id }: Equipment, { to }: Change): number {
  return cell(cells, id).values.indexOf(to);
}

/** A change that a quicker one of the same equipment keeps from firing needs clocks. */
function refuseWatchdogs({ changes }: Equipment): void {
  const times = changes.flatMap(({ takes }) => (takes ? [takes] : []));
  if (times.some(({ low }) => times.some(({ high }) => high < low))) fail("a change that another forestalls");
}

/** Every state that keeps the invariants, satisfies `begins` and is settled; any rule, or none. */
function start(number: number, cells: Cells, { begins }: Procedure, judges: readonly Rule[]): string {
  const { system } = cells;
  const anywhere = [...cells.of.values()].map(
    ({ index, values }) => `if ${values.map((_, value) => `:: v[${index}] = ${value}`).join(" ")} fi`,
  );
  const invariants = [...system.controls.values()].flatMap(({ id, guards, springs }) => [
    ...(guards ? [`(!(${stands(cells, id, "closed")}) || (${stands(cells, guards.control, guards.position)}))`] : []),
    ...[...springs.keys()].map((position) => `!(${stands(cells, id, position)})`),
  ]);
  const settled = [...system.equipment.values()].flatMap((piece) =>
    piece.changes.filter(isImmediate).map((change) => `!(${can(cells, piece, change)})`),
  );
  const all = ["1", ...invariants, ...settled, ...begins.map((begin) => `(${inWords(cells, begin)})`)].join(" && ");
  const rules = [...judges.map(({ first }, index) => `:: rule = ${index}; ${first}`), `:: rule = ${judges.length}`];
  return `atomic { ${anywhere.join("; ")}; (${all}); ${knownAtStart(cells)}; if ${rules.join("\n")} fi; run m_${number}(); run p_${number}() }`;
}

/** Several procedures in one model: the verifier goes through all of them, from every start. */
export function modelOf(parts: readonly Part[]): string {
  const cells = Math.max(1, ...parts.map((part) => part.cells));
  const known = Math.max(1, ...parts.map((part) => part.known));
  return `${PROLOGUE.replaceAll("CELLS", `${cells}`).replaceAll("KNOWN", `${known}`)}${parts.map((part) => part.processes).join("\n")}
init { if
${parts.map((part) => `:: ${part.start}`).join("\n")}
fi }
`;
}

/** An answer is printed once; what is `hidden` is only used within one step. */
const PROLOGUE = `c_code {
  static unsigned char answered[256][256];
  void hit(int part, int question) {
    if (answered[part][question]) return;
    answered[part][question] = 1;
    printf("HIT %d %d\\n", part, question);
  }
};
#define calm (busy==0 && stop==0)
byte v[CELLS], h[CELLS], pv[KNOWN];
bit k[KNOWN], l[KNOWN];
byte busy, rule, count, up;
bit stop, inpause, open, pending, owed, held, sp, sq, r, a;
hidden byte n[CELLS];
hidden byte rounds;
hidden byte changed, bad, p, q, b, sp0, sq0, r0, a0, opens, closes;
`;
