import type { Finding } from "../../diagnostics/finding.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { withInner } from "../../program/rebuild.js";
import { walkSteps } from "../../program/walk.js";
import { UNPROVED } from "../kinds.js";
import { type ProveOptions, proveProcedure } from "../prove.js";
import { arisen } from "../why.js";
import { type Line, reordered } from "./lines.js";

/** A judge of orders: what is found with the lines in another order that is not found as they stand. */
export class Trial {
  /** How many orders were proved. */
  count = 0;
  private readonly others: readonly Procedure[];
  private readonly before = new Map<string, readonly Finding[]>();

  constructor(
    private readonly program: Program,
    private readonly procedure: Procedure,
    private readonly lines: readonly Line[],
    private readonly options: ProveOptions,
  ) {
    this.others = [...program.procedures.values()].filter((other) => other !== procedure && performs(other, procedure));
  }

  /**
   * The first thing that the order breaks, undefined where it breaks nothing: every rule, promise, look and check of the procedure, then of
   * those that perform it, proved in full on every tail. A check that can no longer fail and a step that no longer moves anything
   * have lost their use: they count too. What a limit leaves unproved counts as broken.
   */
  breaks(order: readonly string[]): Finding | undefined {
    this.count += 1;
    const own = { ...this.procedure, steps: reordered(this.procedure.steps, this.lines, order) };
    const broken = this.firstBroken(this.procedure, own);
    if (broken) return broken;
    for (const other of this.others) {
      const found = this.firstBroken(other, { ...other, steps: this.performedAnew(other.steps, order) });
      if (found) return found;
    }
    return undefined;
  }

  private firstBroken(procedure: Procedure, changed: Procedure): Finding | undefined {
    const before = this.before.get(procedure.id) ?? proveProcedure(this.program, procedure, this.options).findings;
    this.before.set(procedure.id, before);
    const after = proveProcedure(this.program, changed, this.options).findings;
    return arisen(before, after)[0] ?? after.find(({ code }) => code === UNPROVED.code);
  }

  private performedAnew(steps: readonly Step[], order: readonly string[]): readonly Step[] {
    const { id } = this.procedure;
    return steps.map((step) => {
      if (step.kind !== "perform" || step.target.kind !== "procedure" || step.target.id !== id)
        return withInner(step, (inner) => this.performedAnew(inner, order));
      const nameIn = ({ name }: Step) => name.slice(name.lastIndexOf(`${id}:`) + id.length + 1);
      return { ...step, steps: reordered(step.steps, this.lines, order, nameIn) };
    });
  }
}

function performs(other: Procedure, { id }: Procedure): boolean {
  return [...walkSteps(other.steps)].some(
    (step) => step.kind === "perform" && step.target.kind === "procedure" && step.target.id === id,
  );
}
