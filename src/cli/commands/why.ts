import { suggest } from "../../diagnostics/suggest.js";
import { unreachable } from "../../invariant.js";
import type { Checked } from "../../pipeline.js";
import type { Procedure, Step } from "../../program/procedure.js";
import { type Program, ruleIsFor } from "../../program/program.js";
import { walkSteps } from "../../program/walk.js";
import { type ReliedOn, type StepWhy, whyOfSteps } from "../../prove/why.js";
import { renderWhy, type WhyPage, type WhyRow } from "../../report/coverage/why.js";
import { CannotWork } from "../../workspace/host.js";
import { columns, EXIT, results, wantsColour } from "../process.js";
import { checkPaths, startTimer } from "./run.js";

export interface WhyOptions {
  /** In seconds. */
  readonly timeLimit?: number;
}

/** Says why a step (`PROCEDURE:STEP`) is there: what breaks without it. Throws `CannotWork`. */
export function explainStep(what: string, paths: readonly string[], options: WhyOptions): void {
  const { checked } = checkPaths(paths, options);
  const { procedure, step } = stepOf(checked, what);
  const timer = startTimer(options.timeLimit);
  const whys = whyOfSteps(checked.program, procedure, { steps: [step.name], deadline: timer.deadline });
  timer.end();
  const rows = whys.flatMap(({ breaches }) =>
    breaches.map(({ on, finding }): WhyRow => ({ on: words(on, procedure), finding })),
  );
  tell({
    title: `${procedure.id}:${step.name}`,
    lead: `${numbered(step)} of "${procedure.title}", ${step.kind}. Without it:`,
    rows,
    none: "Nothing that is proved relies on this line: no rule, promise, list, need or wait comes out otherwise without it.",
    unproved: whys.some(({ unproved }) => unproved),
    before: errorsOf(checked, procedure),
  });
}

/** Says which lines of which procedures keep a rule: those without which it is broken. Throws `CannotWork`. */
export function explainRule(rule: string, paths: readonly string[], options: WhyOptions): void {
  const { checked } = checkPaths(paths, options);
  const { program } = checked;
  const known = program.rules.filter(({ id }) => id === rule);
  if (known.length === 0) throw unknownRule(rule, program);
  const timer = startTimer(options.timeLimit);
  const procedures = provable(checked).filter((procedure) => known.some((one) => ruleIsFor(one, procedure)));
  const whys = procedures.map((procedure) => ({
    procedure,
    steps: stepsKeeping(rule, program, procedure, timer.deadline),
  }));
  timer.end();
  const rows = whys.flatMap(({ procedure, steps }) => steps.flatMap((why) => carrying(why, rule, procedure)));
  tell({
    title: `rule ${rule}`,
    lead: `${known[0]?.says ?? "Kept"} It is for ${procedures.length === 1 ? "one procedure" : `${procedures.length} procedures`}. These lines keep it:`,
    rows,
    none: "No single line keeps it: with any one of them left out it still holds, or is broken as it is.",
    unproved: whys.some(({ steps }) => steps.some(({ unproved }) => unproved)),
    before: procedures.reduce((sum, procedure) => sum + errorsOf(checked, procedure), 0),
  });
}

/** Verdicts for all steps first; stories for those that keep the rule. */
function stepsKeeping(
  rule: string,
  program: Program,
  procedure: Procedure,
  deadline: () => boolean,
): readonly StepWhy[] {
  const all = whyOfSteps(program, procedure, { deadline, verdictsOnly: true });
  const keeping = all.filter(({ breaches }) => breaches.some(({ on }) => on.kind === "rule" && on.rule === rule));
  const told = whyOfSteps(program, procedure, { deadline, steps: keeping.map(({ step }) => step.name) });
  return all.map((why) => told.find(({ step }) => step === why.step) ?? why);
}

function carrying({ step, breaches }: StepWhy, rule: string, procedure: Procedure): readonly WhyRow[] {
  const broken = breaches.find(({ on }) => on.kind === "rule" && on.rule === rule);
  return broken ? [{ on: `${procedure.id}:${step.name} (${numbered(step)})`, finding: broken.finding }] : [];
}

function tell(page: WhyPage): void {
  results(renderWhy(page, { colour: wantsColour(), columns: columns() }));
  process.exitCode = page.unproved ? EXIT.findings : EXIT.nothing;
}

function numbered({ number, name }: Step): string {
  return number ? `step ${number}` : `\`${name}\``;
}

function provable({ program, report }: Checked): readonly Procedure[] {
  return report.proofs.flatMap(({ procedure }) => program.procedures.get(procedure) ?? []);
}

function errorsOf({ report }: Checked, { id }: Procedure): number {
  return report.findings.filter(({ severity, subject }) => severity === "error" && subject.procedure === id).length;
}

/** A step is named by its name or, where that is one step, by its number. */
function stepOf(checked: Checked, what: string): { readonly procedure: Procedure; readonly step: Step } {
  const at = what.indexOf(":");
  const [id, name] = [what.slice(0, at), what.slice(at + 1)];
  const procedure = checked.program.procedures.get(id);
  if (!procedure) throw unknown(`there is no procedure \`${id}\``, id, checked.program.procedures.keys());
  const leftOut = checked.report.leftOut.find((one) => one.procedure === id);
  if (leftOut) throw new CannotWork(`nothing can be proved of \`${id}\`: ${leftOut.because}`, "mend that first");
  const steps = [...walkSteps(procedure.steps)];
  const byNumber = steps.filter(({ number }) => number === name);
  const step = steps.find((one) => one.name === name) ?? (byNumber.length === 1 ? byNumber[0] : undefined);
  if (!step) {
    const names = steps.map((one) => one.name);
    throw unknown(`\`${id}\` has no step \`${name}\``, name, names);
  }
  return { procedure, step };
}

function unknownRule(rule: string, program: Program): CannotWork {
  return unknown(
    `no finding has the code \`${rule}\`, and no rule the id`,
    rule,
    program.rules.map(({ id }) => id),
  );
}

function unknown(message: string, name: string, known: Iterable<string>): CannotWork {
  const names = [...known];
  const near = suggest(name, names);
  return new CannotWork(message, near ? `did you mean \`${near}\`?` : `there are: ${names.slice(0, 12).join(", ")}`);
}

/** What relies on a line, in words. */
function words(on: ReliedOn, procedure: Procedure): string {
  switch (on.kind) {
    case "rule":
      return `rule \`${on.rule}\``;
    case "promise": {
      const end = procedure.ends[on.index];
      return `the promise \`${end ? textOf(end.span) : ""}\``;
    }
    case "step": {
      const step = [...walkSteps(procedure.steps)].find(({ name }) => name === on.step);
      return step?.number ? `step ${step.number} (${on.step})` : `\`${on.step}\``;
    }
    case "next":
      return `what \`${on.procedure}\` takes for granted`;
    case "cover":
      return `the claim to test \`${procedure.covers[on.index]?.set ?? ""}\` in full`;
    case "procedure":
      return "the procedure as a whole";
    default:
      return unreachable(on);
  }
}

function textOf({ file, start, end }: Procedure["span"]): string {
  return file.text.slice(start, end).replace(/\s+/g, " ").trim();
}
