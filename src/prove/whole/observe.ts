import type { Finding } from "../../diagnostics/finding.js";
import { and, type Expression, FALSE, not, or, TRUE } from "../../machine/expression.js";
import type { Probe } from "../../machine/graph/graph.js";
import { EMPTY, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Condition } from "../../program/condition.js";
import type { Step } from "../../program/procedure.js";
import type { Colour } from "../../program/system.js";
import type { Context } from "../context.js";
import { OBSERVE_COUNT, OBSERVE_MISSING, OBSERVE_SURPLUS } from "../kinds.js";
import { nameOf, quote, stepName, textOf } from "../words.js";
import { tell } from "./tell.js";

type Observe = Extract<Step, { readonly kind: "observe" }>;
type ObserveProbe = Extract<Probe, { readonly kind: "observe" }>;

/** Are the lights as listed, in every state in which the card looks at them? */
export function proveObservations(context: Context, search: Search): readonly Finding[] {
  return context.model.graph.probes.flatMap((probe) => {
    if (probe.kind !== "observe" || !probe.step) return [];
    if (probe.step.kind === "check") return checkOfLights(context, search, probe, probe.step, probe.step.condition);
    return probe.step.kind === "observe" ? observation(context, search, probe, probe.step) : [];
  });
}

/** What the list says of a light: in which states it is to be lit. */
export function expectedOf(context: Context, step: Observe, light: string): Expression {
  const listed = step.lit.filter((one) => one.light === light);
  return or(...listed.map((one) => (one.when ? context.model.world.lower(one.when) : TRUE)));
}

function hasLogic(context: Context, light: string): boolean {
  const declared = context.model.world.system.lights.get(light);
  return declared?.litWhen !== undefined || declared?.flashingWhen !== undefined;
}

function observation(context: Context, search: Search, probe: ObserveProbe, step: Observe): readonly Finding[] {
  const { world } = context.model;
  const lights = step.lights.filter((light) => world.isFitted(light));
  const findings: (Finding | undefined)[] = [];
  let right: Expression = TRUE;
  for (const light of lights.filter((one) => hasLogic(context, one))) {
    const lit = world.lowerLight(light, "lit");
    const expected = expectedOf(context, step, light);
    const [missing, surplus] = [and(expected, not(lit)), and(lit, not(expected))];
    right = and(right, not(missing), not(surplus));
    const name = nameOf(world.system, light);
    findings.push(
      wrongLight(context, search, probe, missing, {
        kind: OBSERVE_MISSING,
        light,
        seen: `${name} is out`,
        message: `${name} can be out where the card expects it lit`,
        help: [`make sure of what lights it first, or list it with its condition: \`{ ${light}: CONDITION }\``],
      }),
      wrongLight(context, search, probe, surplus, {
        kind: OBSERVE_SURPLUS,
        light,
        seen: `${name} is lit`,
        message: `${name} can be lit where the card does not expect it`,
        help: [`list it, with its condition where it is not always lit: \`{ ${light}: CONDITION }\``],
      }),
    );
  }
  for (const [colour, number] of step.count)
    findings.push(wrongCount(context, search, probe, step, lights, right, colour, number));
  return findings.filter((one) => one !== undefined);
}

interface WrongLight {
  readonly kind: typeof OBSERVE_MISSING;
  readonly light?: string;
  /** What the crew sees: the end of the story. */
  readonly seen: string;
  readonly message: string;
  readonly help: readonly string[];
}

function wrongLight(
  context: Context,
  search: Search,
  probe: ObserveProbe,
  wrong: Expression,
  told: WrongLight,
): Finding | undefined {
  return wrongAt(context, search, probe, search.space.set(wrong), wrong, told, wrong);
}

function wrongAt(
  context: Context,
  search: Search,
  probe: ObserveProbe,
  states: Ref,
  about: Expression,
  told: WrongLight,
  asked?: Expression,
): Finding | undefined {
  const { bdd } = search.space;
  if (states === EMPTY || probe.edges.every((edge) => !bdd.meets(search.momentsOf(edge), states))) return undefined;
  const { step } = probe;
  const listed = step?.kind === "observe" ? step.lit.filter(({ light }) => light === told.light) : [];
  const declared = told.light === undefined ? undefined : context.model.world.system.lights.get(told.light);
  return tell(
    context,
    search,
    {
      atEdges: new Map(probe.edges.map((edge) => [edge, states])),
      ...(asked ? { asked: { atEdges: new Map(probe.edges.map((edge) => [edge, asked])), names: [asked] } } : {}),
    },
    {
      kind: told.kind,
      step: probe.step,
      message: told.message,
      ...(told.light === undefined ? {} : { thing: told.light }),
      about,
      more: {
        help: told.help,
        labels: [
          ...listed.map(({ span }) => ({ at: span, text: "listed here" })),
          ...(declared ? [{ at: declared.span, text: "its logic is here" }] : []),
        ],
      },
      ...(step ? { ending: { when: stepName(step), what: told.seen, at: step.verb } } : {}),
    },
  );
}

/** Judged only where the list itself is right, so that one wrong lamp is one finding. Sounds are not counted. */
function wrongCount(
  context: Context,
  search: Search,
  probe: ObserveProbe,
  step: Observe,
  lights: readonly string[],
  right: Expression,
  colour: Colour,
  number: number,
): Finding | undefined {
  const { space } = search;
  const { bdd } = space;
  const { system } = context.model.world;
  const counted = lights.filter(
    (light) => system.lights.get(light)?.colour === colour && !system.lights.get(light)?.sound,
  );
  let byCount: Ref[] = [space.set(right)];
  for (const light of counted) {
    const lit = space.set(expectedOf(context, step, light));
    const next: Ref[] = Array.from({ length: byCount.length + 1 }, () => EMPTY);
    byCount.forEach((states, count) => {
      next[count] = bdd.or(next[count]!, bdd.diff(states, lit));
      next[count + 1] = bdd.or(next[count + 1]!, bdd.and(states, lit));
    });
    byCount = next;
  }
  const moments = probe.edges.reduce((sum, edge) => bdd.or(sum, search.momentsOf(edge)), EMPTY);
  const others = byCount.flatMap((states, count) =>
    count !== number && bdd.meets(states, moments) ? [{ states, count }] : [],
  );
  if (others.length === 0) return undefined;
  const numbers = others.map((one) => one.count).join(" or ");
  const found = wrongAt(
    context,
    search,
    probe,
    others.reduce((sum, one) => bdd.or(sum, one.states), EMPTY),
    right,
    {
      kind: OBSERVE_COUNT,
      seen: `${numbers} ${colour} lit, not ${number}`,
      message: `${numbers} ${colour} ${others.length === 1 && others[0]!.count === 1 ? "light" : "lights"} can be lit here, where the card counts ${number}`,
      help: ["mend the count, or leave it out where it differs from case to case"],
    },
  );
  return (
    found && {
      ...found,
      ...(step.countSpan ? { at: step.countSpan } : {}),
      subject: { ...found.subject, thing: colour },
    }
  );
}

/** A check of lights alone is an observation of them: each light that it names is judged on its own where that can be told. */
function checkOfLights(
  context: Context,
  search: Search,
  probe: ObserveProbe,
  step: Step,
  condition: Condition,
): readonly Finding[] {
  const parts = condition.kind === "and" ? condition.of : [condition];
  const findings = parts.map((part) => {
    const truth = context.model.world.lower(part);
    if (truth === TRUE) return undefined;
    const light = part.kind === "light" ? part : undefined;
    const wantsOut = light !== undefined && (light.state === "out") !== light.negated;
    return wrongLight(context, search, probe, truth === FALSE ? TRUE : not(truth), {
      kind: wantsOut ? OBSERVE_SURPLUS : OBSERVE_MISSING,
      ...(light ? { light: light.light } : {}),
      seen: `${textOf(part)}: no`,
      message: `what this check expects of the lights can fail: ${quote(part)}`,
      help: ["look where it has come, or make it a decision (`if`) where both are in order"],
    });
  });
  void step;
  return findings.filter((one) => one !== undefined);
}
