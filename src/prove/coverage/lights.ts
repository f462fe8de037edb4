import { EMPTY, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { LightLook, Seen } from "../../program/coverage.js";
import type { Context } from "../context.js";
import { textOf } from "../words.js";
import { hasLogic } from "./looks.js";

/** For each light that an `observe` looks at: whether it is seen lit there, and out, in every case or in some. */
export function lightLooks(context: Context, search: Search): readonly LightLook[] {
  const { world, graph } = context.model;
  const { bdd } = search.space;
  return graph.probes.flatMap((probe) => {
    if (probe.kind !== "observe" || probe.step?.kind !== "observe") return [];
    const { step } = probe;
    const moments = probe.edges.reduce<Ref>((sum, edge) => bdd.or(sum, search.momentsOf(edge)), EMPTY);
    const lights = step.lights.filter((light) => world.isFitted(light) && hasLogic(context.model, light));
    return lights.map((light): LightLook => {
      const lit = search.space.set(world.lowerLight(light, "lit"));
      const whenLit = bdd.and(moments, lit);
      const whenOut = bdd.diff(moments, lit);
      const conditions = step.lit.filter((one) => one.light === light).flatMap((one) => one.when ?? []);
      return {
        light,
        step: step.name,
        lit: seen(whenLit, whenOut),
        out: seen(whenOut, whenLit),
        ...(conditions.length > 0 && { when: conditions.map(textOf).join("; or ") }),
      };
    });
  });
}

function seen(states: Ref, others: Ref): Seen {
  if (states === EMPTY) return "never";
  return others === EMPTY ? "every" : "some";
}
