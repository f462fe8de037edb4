import type { Procedure } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import { explore } from "../oracle/explore.js";
import { interpret, type OracleReport } from "../oracle/interpreter.js";
import { noQuestion, ruleQuestion } from "../oracle/questions.js";
import { everyStep } from "../oracle/text.js";
import { deaf, type Question } from "../oracle/walk.js";
import { buildWorld, holds, type World } from "../oracle/world.js";

/**
 * What the interpreter says of a procedure without errors; else why it is passed over. A procedure that is performed answers for
 * itself: what is wrong with it is told of it alone.
 */
export function soundReport(program: Program, procedure: Procedure, limit: number): OracleReport | string {
  const all = [procedure, ...performedBy(program, procedure)];
  const { tails } = program.systems.get(procedure.system)!;
  const worlds = all.flatMap((one) => tails.map((tail) => buildWorld(program, one, tail)));
  if (worlds.some((world) => isSoonWrong(world, limit))) return "errors as it stands";
  const reports = all.map((one) => interpret(program, one, { limit }));
  const [report] = reports as [OracleReport];
  if (reports.some(({ findings }) => findings.some(({ severity }) => severity === "error")))
    return "errors as it stands";
  return report.tails.length === 0 ? "no start" : report;
}

function performedBy(program: Program, procedure: Procedure): readonly Procedure[] {
  return [...everyStep(procedure.steps)].flatMap((step) => {
    const inner = step.kind === "perform" ? program.procedures.get(step.target.id) : undefined;
    return inner ? [inner] : [];
  });
}

class Wrong extends Error {}

/** Whether a walk comes to something wrong, told at the first sight of it: most worlds have errors, and need no full report. */
function isSoonWrong(world: World, limit: number): boolean {
  const wrong = () => {
    throw new Wrong();
  };
  try {
    explore(world, noQuestion, limit, () => ({
      ...deaf,
      note: wrong,
      handOver: (_code, _step, begins, state) => {
        if (!begins.every((begin) => holds(world, state, begin))) wrong();
      },
    }));
    for (const rule of world.rules) explore(world, stoppingAtBreach(ruleQuestion(world, rule), wrong), limit);
  } catch (error) {
    if (error instanceof Wrong) return true;
    throw error;
  }
  return false;
}

/** What a gauge breaks by its own move is nobody's error. */
function stoppingAtBreach(question: Question, wrong: () => never): Question {
  return {
    ...question,
    moment: (monitor, moment) => {
      const answer = question.moment(monitor, moment);
      return answer === "broken" && moment.by !== "gauge" ? wrong() : answer;
    },
  };
}
