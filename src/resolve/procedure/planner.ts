import { suggest } from "../../diagnostics/suggest.js";
import { isVerb } from "../../syntax/shape/verbs.js";
import type { Entry, MapNode, Node, ScalarNode } from "../../syntax/tree.js";
import { noSide, unknownName } from "../names/complaints.js";
import { asMap, itemsAt, scalarAt, scalarsAt, textAt, valueAt } from "../read.js";
import type { Scene } from "../scene.js";
import { branchesOf, type WrittenBranch } from "./branches.js";
import { Counter } from "./numbering.js";
import { DEEPEST_PERFORM, MOST_STEPS, performCycle, tooLarge } from "./perform-complaints.js";
import type { Branch, Frame, StepPlan, Target } from "./plan.js";
import { gaugesToRecord } from "./record.js";
import type { ProcedureText, Project } from "./text.js";

/** Where planning stands: what the steps of a list inherit. */
interface Here {
  readonly frame: Frame;
  readonly side?: string | undefined;
  readonly copy: string;
  readonly by: readonly string[];
  readonly counter: Counter;
  /** Parts and procedures that are being put in place, outermost first. */
  readonly path: readonly Visit[];
}

interface Visit {
  readonly id: string;
  /** Tells a part from a procedure, and the parts of two procedures apart. */
  readonly key: string;
}

/**
 * Lays out the steps of a procedure: copies for each side, parts and performed procedures in place, numbers given. Conditions are not
 * read yet, because `done` may name any step. `side` is set where the procedure is there once for each side.
 */
export function planSteps(text: ProcedureText, side: string | undefined, project: Project): readonly StepPlan[] {
  const frame: Frame = { text, prefix: "", copies: "", owner: undefined };
  const path = [{ id: text.id, key: `procedure:${text.id}:${text.id}` }];
  const here: Here = { frame, side, copy: "", by: [], counter: new Counter(), path };
  return new Planner(text, project).list(itemsAt(text.root, "steps"), here);
}

class Planner {
  #steps = 0;
  #stopped = false;

  constructor(
    private readonly text: ProcedureText,
    private readonly project: Project,
  ) {}

  list(nodes: readonly Node[], here: Here): StepPlan[] {
    return nodes.flatMap((node) => {
      const verb = node.kind === "map" ? verbOf(node) : undefined;
      return node.kind === "map" && verb ? this.#copies(node, verb, here) : [];
    });
  }

  /** One plan, or one for each side of a `for-each`, or for each gauge to be recorded. */
  #copies(node: MapNode, verb: Entry, here: Here): StepPlan[] {
    const eachSide = asMap(valueAt(node, "for-each"));
    const sides = eachSide ? scalarsAt(eachSide, "side").filter((side) => this.#isSide(side, here)) : [];
    if (eachSide) {
      return sides.flatMap(({ text }) => {
        return this.#eachGauge(node, verb, { ...here, side: text, copy: `${here.copy}.${text}` }, text);
      });
    }
    return this.#eachGauge(node, verb, here, undefined);
  }

  #eachGauge(node: MapNode, verb: Entry, here: Here, copySide: string | undefined): StepPlan[] {
    if (verb.key.text !== "record") return this.#step(node, verb, here, copySide);
    const gauges = gaugesToRecord(verb.value, this.#scene(here));
    if (gauges.length <= 1) return this.#step(node, verb, here, copySide, gauges[0]?.id);
    return gauges.flatMap(({ id, side }) => {
      return this.#step(node, verb, { ...here, copy: side ? `${here.copy}.${side}` : here.copy }, side ?? copySide, id);
    });
  }

  #step(node: MapNode, verb: Entry, here: Here, copySide: string | undefined, gauge?: string): StepPlan[] {
    if (!this.#room()) return [];
    const kind = verb.key.text;
    if (!isVerb(kind)) return [];
    const by = byOf(node) ?? here.by;
    const transparent = kind === "section" || kind === "memory";
    const number = kind === "section" ? here.counter.nextSection() : kind === "memory" ? "" : here.counter.next();
    const counter = transparent
      ? kind === "section"
        ? here.counter.within(number)
        : here.counter
      : here.counter.inside(number);
    const target = kind === "perform" ? this.#target(node, verb, here) : undefined;
    const inner: Here = { ...here, by, counter };
    const branches = target ? [this.#performed(target, verb, inner)] : this.#branches(node, verb, inner);
    const common = { node, verb, kind, id: textAt(node, "id"), frame: here.frame, side: here.side, copy: here.copy };
    return [{ ...common, copySide, by, number, name: "", branches, gauge, target }];
  }

  #branches(node: MapNode, verb: Entry, here: Here): Branch[] {
    return branchesOf(node, verb, this.#scene(here)).map((branch) => this.#branch(branch, here));
  }

  #branch({ steps, ...branch }: WrittenBranch, here: Here): Branch {
    const by = branch.slot === "lane" && branch.key !== undefined ? [branch.key] : here.by;
    return { ...branch, plans: this.list(steps, { ...here, by }) };
  }

  /** What a `perform` names, with the side it is for; undefined where it was reported. */
  #target(node: MapNode, { value }: Entry, here: Here): Target | undefined {
    if (value.kind !== "scalar") return undefined;
    const { text, owner } = here.frame;
    const { side, copies } = this.#sideWith(node, here);
    const id = value.text;
    if (text.parts.has(id)) {
      const prefix = `${(owner ?? here.frame).prefix}${id}${copies}:`;
      const frame: Frame = { text, called: id, prefix, copies, owner: owner ?? here.frame };
      return { kind: "part", id, title: id.replaceAll("-", " "), frame, side };
    }
    const other = this.project.texts.get(id);
    if (other && other.world === text.world) {
      const frame: Frame = { text: other, called: id, prefix: `${id}${copies}:`, copies, owner: undefined };
      return { kind: "procedure", id, title: textAt(other.root, "title") ?? id, frame, side };
    }
    const known = [...text.parts.keys(), ...proceduresOf(text, this.project)];
    this.project.report(unknownName(id, value.span, "the name of a part or procedure", known));
    return undefined;
  }

  #performed({ kind, id, frame, side }: Target, { value }: Entry, here: Here): Branch {
    const branch = { slot: "steps", span: value.span };
    const visit: Visit = { id, key: `${kind}:${frame.text.id}:${id}` };
    if (here.path.some(({ key }) => key === visit.key)) {
      const from = here.path.findIndex(({ key }) => key === visit.key);
      const ring = [...here.path.slice(from), visit];
      this.project.report(
        performCycle(
          ring.map((each) => each.id),
          value.span,
        ),
      );
      return { ...branch, plans: [] };
    }
    if (here.path.length > DEEPEST_PERFORM) {
      const why = `performs more than ${DEEPEST_PERFORM} parts inside each other`;
      this.project.report(tooLarge(this.text.id, value.span, why));
      return { ...branch, plans: [] };
    }
    const part = kind === "part" ? frame.text.parts.get(id)?.value : undefined;
    const own = part?.kind === "list" ? part.items : [];
    const nodes = kind === "procedure" ? itemsAt(frame.text.root, "steps") : own;
    const path = [...here.path, visit];
    return { ...branch, plans: this.list(nodes, { ...here, frame, side, path, copy: "" }) };
  }

  #sideWith(node: MapNode, here: Here): { readonly side?: string | undefined; readonly copies: string } {
    const given = asMap(valueAt(node, "with"));
    const side = given && scalarAt(given, "side");
    if (!side || !this.#isSide(side, here)) return { side: here.side, copies: here.copy };
    return { side: side.text, copies: `.${side.text}` };
  }

  #isSide({ text, span }: ScalarNode, here: Here): boolean {
    const { sides } = here.frame.text.world.names;
    if (sides.has(text)) return true;
    const near = suggest(text, sides);
    const help =
      near === undefined
        ? `the sides of this system are ${[...sides].map((side) => `\`${side}\``).join(", ")}`
        : `write \`${near}\``;
    this.project.report(noSide(text, span, `nothing in the system has a side \`${text}\``, help));
    return false;
  }

  #room(): boolean {
    this.#steps += 1;
    if (this.#steps <= MOST_STEPS) return true;
    if (!this.#stopped)
      this.project.report(tooLarge(this.text.id, this.text.idSpan, `has more than ${MOST_STEPS} steps`));
    this.#stopped = true;
    return false;
  }

  #scene(here: Here): Scene {
    return { names: here.frame.text.world.names, side: here.side, report: this.project.report };
  }
}

function byOf(node: MapNode): readonly string[] | undefined {
  const by = scalarsAt(node, "by").map(({ text }) => text);
  return by.length > 0 ? by : undefined;
}

function proceduresOf(text: ProcedureText, { texts }: Project): string[] {
  return [...texts.values()].filter((other) => other.world === text.world && other.id !== text.id).map(({ id }) => id);
}

/** A step's verb with its value; a step without one is the syntax's complaint. */
function verbOf(step: MapNode): Entry | undefined {
  return step.entries.find(({ key }) => isVerb(key.text));
}
