import type { Finding } from "../../diagnostics/finding.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { withInner } from "../../program/rebuild.js";
import { walkSteps } from "../../program/walk.js";
import { type Before, likeBefore, proveBefore } from "../before.js";
import { UNPROVED } from "../kinds.js";
import { type ProveOptions, proveProcedure } from "../prove.js";
import { arisen } from "../why.js";
import { type Line, reordered } from "./lines.js";

/** A judge of orders: what is found with the lines in another order that is not found as they stand. */
export class Trial {
  /** How many orders were proved. */
  count = 0;
  private readonly others: readonly Procedure[];
  private readonly before = new Map<string, Before>();

  constructor(
    private readonly program: Program,
    private readonly procedure: Procedure,
    private readonly lines: readonly Line[],
    private readonly options: ProveOptions,
  ) {
    this.others = [...program.procedures.values()].filter((other) => other !== procedure && performs(other, procedure));
  }

  /** The same as `breaks`, each finding proved with its story: what is proposed in the end is held against this too. */
  breaksInFull(order: readonly string[]): Finding | undefined {
    return this.firstBreak(order, this.options);
  }

  /**
   * The first thing that the order breaks, undefined where it breaks nothing: every rule, promise, look and check of the procedure, then of
   * those that perform it, proved in full on every tail. A check that can no longer fail and a step that no longer moves anything
   * have lost their use: they count too. What a limit leaves unproved counts as broken.
   */
  breaks(order: readonly string[]): Finding | undefined {
    this.count += 1;
    return this.firstBreak(order, { ...this.options, verdictsOnly: true });
  }

  private firstBreak(order: readonly string[], options: ProveOptions): Finding | undefined {
    const own = { ...this.procedure, steps: reordered(this.procedure.steps, this.lines, order) };
    const broken = this.firstBroken(this.procedure, own, options);
    if (broken) return broken;
    for (const other of this.others) {
      const steps = this.performedAnew(other.steps, order);
      const found = this.firstBroken(other, { ...other, steps }, options);
      if (found) return found;
    }
    return undefined;
  }

  private firstBroken(procedure: Procedure, changed: Procedure, options: ProveOptions): Finding | undefined {
    const key = `${procedure.id} ${options.verdictsOnly ?? false}`;
    const before = this.before.get(key) ?? proveBefore(this.program, procedure, options);
    this.before.set(key, before);
    const after = proveProcedure(this.program, changed, { ...options, known: likeBefore(before) }).findings;
    return arisen(before.findings, after)[0] ?? after.find(({ code }) => code === UNPROVED.code);
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
