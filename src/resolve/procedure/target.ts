import type { Entry, MapNode, Node, ScalarNode } from "../../syntax/tree.js";
import { noSide, unknownName } from "../names/complaints.js";
import { itemsAt, textAt } from "../read.js";
import type { Here } from "./here.js";
import type { Frame, Target } from "./plan.js";
import { noSuchSide, sideWith } from "./sides.js";
import type { ProcedureText, Project } from "./text.js";

/** What a `perform` names, with the side it is for; undefined where it was reported. */
export function targetOf(node: MapNode, { value }: Entry, here: Here, project: Project): Target | undefined {
  if (value.kind !== "scalar") return undefined;
  const { text } = here.frame;
  const given = sideWith(node, here, project);
  const other = project.texts.get(value.text);
  if (text.parts.has(value.text)) return partTarget(value.text, here, given?.text);
  if (other?.world === text.world) return procedureTarget(other, value, here, given, project);
  const known = [...text.parts.keys(), ...proceduresOf(text, project)];
  project.report(unknownName(value.text, value.span, "the name of a part or procedure", known));
  return undefined;
}

/** The written steps of what is performed. */
export function stepsOf({ kind, id, frame }: Target): readonly Node[] {
  if (kind === "procedure") return itemsAt(frame.text.root, "steps");
  const part = frame.text.parts.get(id)?.value;
  return part?.kind === "list" ? part.items : [];
}

function partTarget(id: string, here: Here, given: string | undefined): Target {
  const { text, owner = here.frame } = here.frame;
  const copies = copiesOf(here, given);
  const frame: Frame = { text, called: id, prefix: `${owner.prefix}${id}${copies}:`, copies, owner };
  return { kind: "part", id, title: id.replaceAll("-", " "), frame, side: given ?? here.side };
}

function procedureTarget(
  text: ProcedureText,
  name: ScalarNode,
  here: Here,
  given: ScalarNode | undefined,
  { report }: Project,
): Target | undefined {
  const { id, root, sides } = text;
  const side = given?.text ?? here.side;
  if (given && !sides.includes(given.text)) return void report(noSuchSide(given, `nothing in \`${id}\``, sides));
  if (sides.length > 0 && (side === undefined || !sides.includes(side))) {
    const help = `say which: \`with: { side: ${sides[0]} }\``;
    return void report(noSide(id, name.span, `\`${id}\` is there for each side (${sides.join(", ")})`, help));
  }
  const copies = copiesOf(here, given?.text);
  const frame: Frame = { text, called: id, prefix: `${id}${copies}:`, copies, owner: undefined };
  const title = textAt(root, "title") ?? id;
  return { kind: "procedure", id, title: sides.length > 0 ? `${title}, ${side}` : title, frame, side };
}

/** Names of the steps differ by the side they are performed with, else by the copy that the `perform` itself is in. */
function copiesOf({ frame, copy }: Here, given: string | undefined): string {
  return given === undefined ? frame.copies + copy : `.${given}`;
}

function proceduresOf(text: ProcedureText, { texts }: Project): string[] {
  return [...texts.values()].filter((other) => other.world === text.world && other.id !== text.id).map(({ id }) => id);
}
