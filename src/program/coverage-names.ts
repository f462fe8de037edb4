import type { Broken, Estimate, FailureRow, Fault, FaultRow, LightLook, Slip, SlipRow } from "./coverage.js";
import type { FailureStretch } from "./coverage-count.js";
import type { Procedure, Step } from "./procedure.js";
import type { System } from "./system.js";
import { walkSteps } from "./walk.js";

/** Names as they are printed, for one procedure. */
export class Names {
  private readonly steps: ReadonlyMap<string, Step>;

  constructor(
    private readonly system: System,
    procedure: Procedure,
  ) {
    this.steps = new Map([...walkSteps(procedure.steps)].map((step) => [step.name, step]));
  }

  /** The engraved name of a thing, with its side. */
  thing(id: string): string {
    const { controls, equipment, lights, gauges, outside, conditions } = this.system;
    const control = controls.get(id);
    if (control?.guards) return `${this.thing(control.guards.control)} guard`;
    const found =
      control ?? equipment.get(id) ?? lights.get(id) ?? gauges.get(id) ?? outside.get(id) ?? conditions.get(id);
    if (!found) return id;
    return found.sideLabel ? `${found.label} ${found.sideLabel}` : found.label;
  }

  /** A position as it is engraved. */
  position(control: string, position: string): string {
    const declared = this.system.controls.get(control);
    if (declared?.guards) return position;
    return declared?.positions.find(({ id }) => id === position)?.placard.toUpperCase() ?? position;
  }

  /** When a failure comes: `at the start`, `after step 7`, `after step 7 to step 12`. */
  pauses(rows: readonly Pick<FailureRow, "step">[]): string {
    const steps = rows.flatMap(({ step }) => (step === undefined ? [] : [this.step(step)]));
    const [first, last] = [steps[0], steps.at(-1)];
    const starts = steps.length < rows.length ? ["at the start"] : [];
    if (first === undefined || last === undefined) return starts.join();
    const after = first === last ? `after ${first}` : `after ${first} to ${last}`;
    return [...starts, after].join(", ");
  }

  /** `step 7`, or the name of a step that has no number. */
  step(name: string | undefined): string {
    if (name === undefined) return "";
    const number = this.steps.get(name)?.number;
    return number ? `step ${number}` : name;
  }

  /** The number and the name: the name is what other commands take. */
  line(name: string): string {
    const number = this.steps.get(name)?.number;
    return number ? `${number} ${name}` : name;
  }

  fault({ kind, thing, within, stuck }: Fault): string {
    const name = this.thing(thing);
    switch (kind) {
      case "light":
        return `lamp ${name} ${stuck === "lit" ? "always lit" : "dark"}`;
      case "condition":
        return `${name} always ${stuck}`;
      case "control":
        return `${name} read as ${this.position(thing, stuck)}`;
      case "use":
        return `${name} always ${stuck}, as ${this.thing(within ?? "")} reads it`;
    }
  }

  slip({ kind, detail, control }: Slip): string {
    switch (kind) {
      case "left out":
        return "left out";
      case "early":
        return `done ahead of ${this.step(detail)}`;
      case "beside":
        return `${this.thing(control ?? "")} set to ${this.position(control ?? "", detail ?? "")}`;
      case "one side":
        return `${this.thing(control ?? "")} forgotten`;
    }
  }

  /** Where a light is seen so: `step 3 (if dc)`. */
  look(look: LightLook, state: "lit" | "out"): string {
    const step = this.step(look.step);
    if (look[state] === "unproved") return `${step} (unproved)`;
    if (look[state] === "every") return step;
    return `${step} (${look.when ? `${state === "lit" ? "if" : "if not"} ${look.when}` : "in some cases"})`;
  }

  revealed({ revealed }: FaultRow): string {
    return revealed === "apart" ? "changes no light" : revealed;
  }

  outcome({ verdict, caughtAt, breaks }: SlipRow): string {
    if (verdict === "caught") return `caught at ${this.step(caughtAt)}`;
    return breaks ? `${verdict}: ${brokenWords(breaks)}` : verdict;
  }
}

/** What is broken, in words. */
export function brokenWords({ kind, what }: Broken): string {
  switch (kind) {
    case "rule":
      return `rule \`${what}\` is broken`;
    case "promise":
      return `it ends without \`${what}\``;
    case "need":
      return `\`${what}\` is taken for granted and not so`;
    case "prohibition":
      return `what \`${what}\` forbids is done`;
    case "duty":
      return `the duty of \`${what}\` is not kept`;
  }
}

/** The estimate with where its figure is from: never without it. */
export function estimateWords({ chance, silent, lines, perLine, from }: Estimate): string {
  const source = from === "project" ? "the project's figure" : "a default from memory; set `omission` in the project";
  return `estimate: a silent omission in one use ${chance.toPrecision(2)} (${silent} of ${lines} lines at ${perLine} each: ${source})`;
}

/** What fails, when, and what comes of it. */
export function failureWords(names: Names, { rows, breaks }: FailureStretch): readonly [string, string, string] {
  const [{ equipment, from, to, verdict, answeredBy }] = rows;
  const unanswered = breaks ? `${verdict}: ${brokenWords(breaks)}` : verdict;
  return [
    `${names.thing(equipment)} ${from} to ${to}`,
    names.pauses(rows),
    verdict === "answered" ? `answered by ${names.step(answeredBy)}` : unanswered,
  ];
}
