import { EMPTY, NodeLimit } from "../machine/symbolic/bdd.js";
import { OutOfTime, type Search } from "../machine/symbolic/search.js";
import type { Step } from "../program/procedure.js";
import type { Violated } from "./answer.js";
import type { Context } from "./context.js";
import { lastActsOf } from "./path.js";
import { type Query, searchIn, wholeOf } from "./query.js";

/** The steps at which a question can be answered with "wrong" first, in the whole model. */
export interface Wrongdoers {
  /** Those whose own act does it. */
  readonly acts: readonly Step[];
  /** Those in whose pause it can come about, or after which the run can end so. */
  readonly others: readonly Step[];
}

/**
 * Who can be to blame. The slice in which the way was found names all of them at least: the whole is asked only where it names
 * more than the one to blame. Nobody where the limit comes first: they are only told beside the answer.
 */
export function wrongdoers(context: Context, query: Query, answer: Violated, blamed: Step | undefined): Wrongdoers {
  try {
    const first = wrongdoersIn(context, query, answer.near ?? searchIn(context, query, answer.relevant).run());
    if ([...first.acts, ...first.others].every((step) => step === blamed)) return first;
    const whole = answer.explored ?? searchIn(context, query, wholeOf(context, query)).run();
    return wrongdoersIn(context, query, whole);
  } catch (error) {
    if (error instanceof NodeLimit || error instanceof OutOfTime) return { acts: [], others: [] };
    throw error;
  }
}

function wrongdoersIn(context: Context, query: Query, search: Search): Wrongdoers {
  const before = lastActsOf(context);
  const acts = search.breaches.flatMap(({ transition: { cause } }) =>
    cause.kind === "edge" ? (cause.edge.step ?? []) : [],
  );
  const pauses = search.breaches.flatMap(({ from, transition }) =>
    transition.cause.kind === "change" ? before(from) : [],
  );
  const ends = context.model.graph.nodes.flatMap((node) => {
    const wrong = query.atPlace.get(node.id);
    if (!wrong || search.space.bdd.and(search.reachedAt(node.id), search.space.set(wrong)) === EMPTY) return [];
    return node.end && node.end.kind !== "finish" ? [node.end.step] : before(node);
  });
  return { acts: [...new Set(acts)], others: [...new Set([...pauses, ...ends])] };
}
