import type { Verb } from "../../program/procedure.js";
import type { ScalarNode } from "../../syntax/tree.js";
import { unknownValue } from "../condition/complaints.js";
import { noSide, unknownName, wrongKind } from "../names/complaints.js";
import { lookupOne } from "../names/lookup.js";
import { called } from "../names/table.js";
import { asMap, textAt } from "../read.js";
import type { Scene } from "../scene.js";
import type { StepPlan } from "./plan.js";
import { type ProcedureText, type Project, procedureId } from "./text.js";
import type { Verbs } from "./verbs.js";

/** `ask: { shore-power: connected }`, `of` whom. Only what is outside can be asked for. */
export function askOf({ verb, node }: StepPlan, scene: Scene): Verb | undefined {
  const asked = asMap(verb.value)?.entries[0];
  if (asked?.value.kind !== "scalar") return undefined;
  const { key, value } = asked;
  const outside = lookupOne(key.text, key.span, scene, { what: "the name of anything `outside`", kinds: ["outside"] });
  if (!outside) return undefined;
  const { kind, values } = outside.family;
  if (kind !== "outside") {
    const message = `\`${key.text}\` is ${called(kind)}: only what is outside can be asked for`;
    return void scene.report(wrongKind(key.text, key.span, message, "name what stands under `outside`, or `set` it"));
  }
  if (values.length > 0 && !values.includes(value.text)) {
    scene.report(unknownValue(value.text, value.span, outside.id, "state", values));
  }
  if (!values.includes(value.text)) return undefined;
  return { kind: "ask", outside: outside.id, state: value.text, of: textAt(node, "of") ?? "" };
}

export function goToOf(plan: StepPlan, { project, scene }: Verbs): Verb | undefined {
  const name = plan.verb.value;
  if (name.kind !== "scalar") return undefined;
  const procedure = procedureNamed(name, plan.frame.text, scene.side, project);
  return procedure === undefined ? undefined : { kind: "go-to", procedure };
}

/** The id of the procedure that a `next` or `go-to` names; of one that is there for each side, that of the own side. */
export function procedureNamed(
  { text: id, span }: ScalarNode,
  from: ProcedureText,
  side: string | undefined,
  { texts, report }: Project,
): string | undefined {
  const [base = "", named] = id.split(".");
  const others = [...texts.values()].filter(({ world }) => world === from.world);
  const text = others.find((other) => other.id === base);
  if (!text)
    return void report(
      unknownName(
        id,
        span,
        "the name of a procedure",
        others.map((other) => other.id),
      ),
    );
  if (text.sides.length === 0) return text.id;
  const wanted = named === undefined || named === "side" ? side : named;
  if (wanted !== undefined && text.sides.includes(wanted)) return procedureId(text, wanted);
  const ids = text.sides.map((each) => `\`${procedureId(text, each)}\``);
  return void report(noSide(id, span, `\`${id}\` is there for each side`, `name one of them: ${ids.join(", ")}`));
}
