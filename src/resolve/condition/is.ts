import type { Condition, Quantifier } from "../../program/condition.js";
import type { Span } from "../../source/file.js";
import type { ConditionSyntax, NameSyntax } from "../../syntax/condition/ast.js";
import { whichSide, wrongKind } from "../names/complaints.js";
import { type Found, lookup, several } from "../names/lookup.js";
import { called, type FamilyKind, type Member } from "../names/table.js";
import { allThere } from "../read.js";
import type { Scene } from "../scene.js";
import { bandOf } from "./band.js";
import { notHere, saysNothing, unknownValue } from "./complaints.js";
import type { Purpose } from "./purpose.js";

type Is = Extract<ConditionSyntax, { kind: "is" }>;
type Name = Extract<ConditionSyntax, { kind: "name" }>;

/** `X is p/q`, `X is not p`, `all X is p`, `any X is p`. */
export function isOf(syntax: Is, scene: Scene, purpose: Purpose): Condition | undefined {
  const found = quantified(syntax, scene);
  if (!found) return undefined;
  const atoms = found.members.map((member) => isAtom(member, syntax, scene, purpose));
  return allThere(atoms) ? spelledOut(syntax, found, atoms) : undefined;
}

/** A bare name: a named condition, of one side, or of all or any. */
export function nameOf(syntax: Name, scene: Scene, purpose: Purpose): Condition | undefined {
  const found = quantified(syntax, scene);
  if (!found) return undefined;
  const atoms = found.members.map((member) => namedAtom(member, syntax, scene, purpose));
  return allThere(atoms) ? spelledOut(syntax, found, atoms) : undefined;
}

/** The things named, where `all` or `any` is said of several, and of several only. */
function quantified({ quantifier, thing }: Is | Name, scene: Scene): Found | undefined {
  const found = lookup(thing.text, thing.span, scene);
  if (!found) return undefined;
  if (found.single === (quantifier === undefined)) return found;
  if (found.single) {
    const message = `\`${thing.text}\` is one thing: \`${quantifier}\` has nothing to choose from`;
    scene.report(whichSide(thing.text, thing.span, message, [`leave \`${quantifier}\` out`]));
  } else {
    const message = `\`${thing.text}\` is ${several(found)}: say whether all or any are meant`;
    const help = [`write \`all ${thing.text}\` or \`any ${thing.text}\`, or name one of them`];
    scene.report(whichSide(thing.text, thing.span, message, help));
  }
  return undefined;
}

/** Members that are not fitted are passed over: `all` asks them nothing, `any` does not count them. */
function spelledOut(syntax: Is | Name, { members }: Found, atoms: readonly Condition[]): Condition | undefined {
  const { quantifier, thing, span } = syntax;
  if (!quantifier) return atoms[0];
  const meant: Quantifier = { word: quantifier, thing: thing.text };
  const of = members.map((member, index) => where(member, atoms[index]!, quantifier, span));
  return { kind: quantifier === "all" ? "and" : "or", of, span, quantifier: meant };
}

function where(member: Member, atom: Condition, word: "all" | "any", span: Span): Condition {
  if (!member.family.fitted) return atom;
  const fitted: Condition = { kind: "fitted", thing: member.id, span };
  return word === "any"
    ? { kind: "and", of: [fitted, atom], span }
    : { kind: "or", of: [{ kind: "not", of: fitted, span }, atom], span };
}

function isAtom(member: Member, syntax: Is, scene: Scene, purpose: Purpose): Condition | undefined {
  const { kind } = member.family;
  if (purpose.fitOnly && kind !== "fit") return void scene.report(onlyFit(syntax, kind, purpose));
  switch (kind) {
    case "control":
    case "equipment":
    case "outside":
    case "fit":
      return placed(member, kind, syntax, scene);
    case "gauge":
      return each(member, syntax, scene, "band", (value) => bandOf(member, value.text, syntax.negated, syntax.span));
    case "light":
      return lightIs(member, syntax, scene, purpose);
    default: {
      const message = `\`${member.id}\` is ${called(kind)}: it stands at no position`;
      return void scene.report(
        wrongKind(member.id, syntax.thing.span, message, `write \`${member.id}\` or \`not ${member.id}\``),
      );
    }
  }
}

function placed(
  member: Member,
  of: "control" | "equipment" | "outside" | "fit",
  syntax: Is,
  scene: Scene,
): Condition | undefined {
  if (!known(member, syntax, scene, of === "control" ? "position" : of === "fit" ? "value" : "state")) return undefined;
  const values = [...new Set(syntax.values.map(({ text }) => text))];
  return { kind: "is", of, thing: member.id, values, negated: syntax.negated, span: syntax.span };
}

function lightIs(member: Member, syntax: Is, scene: Scene, purpose: Purpose): Condition | undefined {
  if (!mayName(member, syntax.thing.span, scene, purpose)) return undefined;
  return each(member, syntax, scene, "state", ({ text }) => {
    const state = text === "out" || text === "flashing" ? text : "lit";
    return { kind: "light", light: member.id, state, negated: syntax.negated, span: syntax.span };
  });
}

/** A light without logic reads anything afresh at each look, so only a look may name it. */
function mayName({ id, family }: Member, at: Span, scene: Scene, { bareLights, place }: Purpose): boolean {
  if (bareLights || family.logic) return true;
  const message = `\`${id}\` has no \`lit-when\`, so nothing can be proved of it in ${place}`;
  scene.report(notHere(at, message, "give the light its `lit-when`, or leave it to a check"));
  return false;
}

/** One atom for each value: any of them, or none of them where negated. */
function each(
  member: Member,
  syntax: Is,
  scene: Scene,
  what: string,
  atom: (value: NameSyntax) => Condition,
): Condition | undefined {
  if (!known(member, syntax, scene, what)) return undefined;
  const of = syntax.values.map(atom);
  if (of.length <= 1) return of[0];
  return { kind: syntax.negated ? "and" : "or", of, span: syntax.span };
}

/** A thing without any value is a hole that the shape check has reported. */
function known({ id, family }: Member, syntax: Is, scene: Scene, what: string): boolean {
  if (family.values.length === 0 && family.kind !== "gauge") return false;
  const strange = syntax.values.filter(({ text }) => !family.values.includes(text));
  for (const { text, span } of strange) scene.report(unknownValue(text, span, id, what, family.values));
  return strange.length === 0;
}

function namedAtom({ id, family }: Member, syntax: Name, scene: Scene, purpose: Purpose): Condition | undefined {
  const { span } = syntax;
  if (purpose.fitOnly) return void scene.report(onlyFit(syntax, family.kind, purpose));
  if (family.kind === "condition") return { kind: "named", condition: id, span };
  const value = family.kind === "light" ? "lit" : (family.values[0] ?? "");
  const help =
    family.kind === "gauge"
      ? `compare it with a quantity, such as \`${id} >= 10 ${family.unit}\``
      : `write what is so of it, such as \`${id} is ${value}\``;
  return void scene.report(saysNothing(id, span, `\`${id}\` is ${called(family.kind)}, not a condition`, help));
}

function onlyFit({ thing }: Is | Name, kind: FamilyKind, { place }: Purpose) {
  const message = `\`${thing.text}\` is ${called(kind)}: ${place} may name the fit only`;
  return notHere(thing.span, message, "write a condition on what `fit` lists, such as `heater is fitted`");
}
