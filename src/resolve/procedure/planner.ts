import { isVerb } from "../../syntax/shape/verbs.js";
import type { Entry, MapNode, Node } from "../../syntax/tree.js";
import { itemsAt, scalarsAt, textAt } from "../read.js";
import { branchesOf } from "./branches.js";
import { nestedLanes } from "./contradiction.js";
import { type Here, sceneHere, type Visit } from "./here.js";
import { Counter } from "./numbering.js";
import { DEEPEST_PERFORM, MOST_STEPS, performCycle, tooLarge } from "./perform-complaints.js";
import type { Branch, Frame, StepPlan, Target } from "./plan.js";
import { gaugesToRecord } from "./record.js";
import { sidesForEach } from "./sides.js";
import { stepsOf, targetOf } from "./target.js";
import type { ProcedureText, Project } from "./text.js";

/**
 * Lays out the steps of a procedure: copies for each side, parts and performed procedures in place, numbers given. Conditions are not
 * read yet, because `done` may name any step. `side` is set where the procedure is there once for each side.
 */
export function planSteps(text: ProcedureText, side: string | undefined, project: Project): readonly StepPlan[] {
  const frame: Frame = { text, prefix: "", copies: "", owner: undefined };
  const path = [{ id: text.id, key: `procedure:${text.id}:${text.id}` }];
  const here: Here = { frame, side, copy: "", by: [], counter: new Counter(), path, inLane: false };
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
    const sides = sidesForEach(node, here, this.project);
    if (!sides) return this.#eachGauge(node, verb, here);
    return sides.flatMap((side) => this.#eachGauge(node, verb, copyFor(here, side)));
  }

  #eachGauge(node: MapNode, verb: Entry, here: Here): StepPlan[] {
    if (verb.key.text !== "record") return this.#step(node, verb, here);
    const gauges = gaugesToRecord(verb.value, sceneHere(here, this.project));
    if (gauges.length <= 1) return this.#step(node, verb, here, gauges[0]?.id);
    return gauges.flatMap(({ id, side }) =>
      this.#step(node, verb, side === undefined ? here : copyFor(here, side), id),
    );
  }

  #step(node: MapNode, verb: Entry, here: Here, gauge?: string): StepPlan[] {
    const kind = verb.key.text;
    if (!isVerb(kind) || !this.#room()) return [];
    const numbered = numberOf(kind, here.counter);
    const inside: Here = { ...here, by: byOf(node) ?? here.by, counter: numbered.inside };
    const target = kind === "perform" ? targetOf(node, verb, here, this.project) : undefined;
    if (kind === "together" && here.inLane) this.project.report(nestedLanes(verb.key.span));
    const branches = target ? [this.#performed(target, verb, inside)] : this.#branches(node, verb, inside);
    const { frame, side, copy, copySide } = here;
    const own = { node, verb, kind, id: textAt(node, "id"), by: inside.by, number: numbered.number, name: "" };
    return [{ ...own, frame, side, copy, copySide: target?.side ?? copySide, branches, gauge, target }];
  }

  #branches(node: MapNode, verb: Entry, here: Here): Branch[] {
    return branchesOf(node, verb, sceneHere(here, this.project)).map(({ steps, ...branch }): Branch => {
      const lane = branch.slot === "lane" && branch.key !== undefined ? { by: [branch.key], inLane: true } : {};
      return { ...branch, plans: this.list(steps, { ...here, ...lane }) };
    });
  }

  /** What is performed, in place; a ring is cut where it closes. */
  #performed(target: Target, { value }: Entry, here: Here): Branch {
    const { kind, id, frame, side } = target;
    const visit: Visit = { id, key: `${kind}:${frame.text.id}:${id}` };
    const from = here.path.findIndex(({ key }) => key === visit.key);
    const branch = { slot: "steps", span: value.span };
    if (from >= 0) {
      this.project.report(
        performCycle(
          [...here.path.slice(from), visit].map((each) => each.id),
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
    const copySide = frame.copies === "" ? undefined : side;
    const inner: Here = { ...here, frame, side, copySide, copy: "", path: [...here.path, visit] };
    return { ...branch, plans: this.list(stepsOf(target), inner) };
  }

  /** False, and reported once, where there are too many steps. */
  #room(): boolean {
    this.#steps += 1;
    if (this.#steps <= MOST_STEPS) return true;
    const { id, idSpan } = this.text;
    if (!this.#stopped) this.project.report(tooLarge(id, idSpan, `has more than ${MOST_STEPS} steps`));
    this.#stopped = true;
    return false;
  }
}

function copyFor(here: Here, side: string): Here {
  return { ...here, side, copySide: side, copy: `${here.copy}.${side}` };
}

/** Sections are lettered, and memory items only boxed: the steps in both count on. */
function numberOf(kind: string, counter: Counter): { readonly number: string; readonly inside: Counter } {
  if (kind === "memory") return { number: "", inside: counter };
  const number = kind === "section" ? counter.nextSection() : counter.next();
  return { number, inside: kind === "section" ? counter.within(number) : counter.inside(number) };
}

function byOf(node: MapNode): readonly string[] | undefined {
  const by = scalarsAt(node, "by").map(({ text }) => text);
  return by.length > 0 ? by : undefined;
}

/** A step's verb with its value; a step without one is the syntax's complaint. */
function verbOf(step: MapNode): Entry | undefined {
  return step.entries.find(({ key }) => isVerb(key.text));
}
