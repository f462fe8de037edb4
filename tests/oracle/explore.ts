import type { Step } from "../../src/program/procedure.js";
import { startStates } from "./settle.js";
import { type Config, type Listener, type Next, type Question, Walker } from "./walk.js";
import type { World } from "./world.js";

export interface Break {
  readonly step: Step | undefined;
  readonly by: Next["by"];
  /** Moments after moment 0. */
  readonly moments: number;
  readonly config: Config;
}

/** Everything that a run can come to, nearest first. */
export interface Explored {
  readonly walker: Walker;
  readonly configs: readonly Config[];
  readonly moments: readonly number[];
  readonly edges: readonly (readonly number[])[];
  /** By which each configuration was first reached, for a trace. */
  readonly parents: readonly number[];
  readonly breaks: readonly Break[];
}

export class TooLarge extends Error {}

/** What is otherwise than in the runs as they are: ways that nobody goes, and what comes about besides. */
export interface Twist {
  readonly leavesOut?: (from: Config, next: Next) => boolean;
  readonly beside?: (config: Config, walker: Walker) => readonly Next[];
}

/** Walks all runs breadth first; ticks and what is silent add nothing to the length. */
export function explore(
  world: World,
  question: Question,
  limit: number,
  listen?: (distance: () => number, current: () => number) => Listener,
  { leavesOut, beside }: Twist = {},
): Explored {
  let distance = 0;
  let current = -1;
  let listener: Listener | undefined;
  const forward: Listener | undefined = listen && {
    note: (...args) => listener?.note(...args),
    reached: (...args) => listener?.reached(...args),
    moved: (...args) => listener?.moved(...args),
    ifNotTaken: (...args) => listener?.ifNotTaken(...args),
    seen: (...args) => listener?.seen(...args),
    handOver: (...args) => listener?.handOver(...args),
  };
  const walker = new Walker(world, question, forward);
  listener = listen?.(
    () => distance,
    () => current,
  );
  const configs: Config[] = [];
  const moments: number[] = [];
  const parents: number[] = [];
  const edges: number[][] = [];
  const breaks: Break[] = [];
  const ids = new Map<string, number>();
  const place = (config: Config, at: number, parent: number): number => {
    const key = walker.key(config);
    const known = ids.get(key);
    if (known !== undefined) {
      if (at < moments[known]!) {
        moments[known] = at;
        parents[known] = parent;
        level(at).push(known);
      }
      return known;
    }
    const id = configs.length;
    if (id >= limit) throw new TooLarge(`more than ${limit} configurations`);
    ids.set(key, id);
    configs.push(config);
    moments.push(at);
    parents.push(parent);
    edges.push([]);
    level(at).push(id);
    return id;
  };
  const levels: number[][] = [];
  const level = (at: number): number[] => {
    levels[at] ??= [];
    return levels[at];
  };
  for (const state of startStates(world)) place(walker.start(state), 0, -1);
  const visited = new Set<number>();
  for (distance = 0; distance < levels.length; distance++) {
    for (let index = 0; index < level(distance).length; index++) {
      const id = levels[distance]![index]!;
      if (visited.has(id) || moments[id] !== distance) continue;
      visited.add(id);
      current = id;
      const more = beside?.(configs[id]!, walker) ?? [];
      for (const next of [...walker.next(configs[id]!), ...more]) {
        if (leavesOut?.(configs[id]!, next)) continue;
        const at = distance + next.length;
        if (next.isBroken)
          breaks.push({
            step: next.broken === "broken" ? undefined : next.broken,
            by: next.by,
            moments: at,
            config: next.config,
          });
        else edges[id]!.push(place(next.config, at, id));
      }
    }
  }
  return { walker, configs, moments, edges, parents, breaks };
}
