import { lstatSync, mkdirSync, renameSync, rmSync, statSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { CannotWork, reasonOf } from "../workspace/host.js";

/** A file to write: its name in the folder, with forward slashes where it lies deeper, and all of it. */
export interface OutputFile {
  readonly name: string;
  readonly content: string | Uint8Array;
}

/**
 * Writes files into a folder, which is made where it is missing: each first beside its place, then, once all are written,
 * moved there. So a run that fails leaves every file as it was, and no reader finds half of one. Throws `CannotWork`.
 */
export function writeFiles(folder: string, files: readonly OutputFile[]): void {
  const pairs = files.map(({ name, content }) => ({ content, ...placesFor(join(folder, name)) }));
  for (const where of new Set([folder, ...pairs.map(({ to }) => dirname(to))])) {
    attempt(where, () => makeFolder(where));
    if (where !== folder && lstatSync(where).isSymbolicLink()) refuse(where, "it is a link to another place");
  }
  for (const { to } of pairs) refuseFolder(to);
  try {
    for (const { beside, content } of pairs) attempt(beside, () => replaceWith(beside, content));
    for (const { beside, to } of pairs) attempt(to, () => renameSync(beside, to));
  } finally {
    for (const { beside } of pairs) rmSync(beside, { force: true });
  }
}

/** Not `recursive`: Node 20 never comes back from that where a folder exists and nothing can be made in it, such as /proc. */
function makeFolder(where: string): void {
  const there = statSync(where, { throwIfNoEntry: false });
  if (there?.isDirectory()) return;
  if (!there && dirname(where) !== where) makeFolder(dirname(where));
  mkdirSync(where);
}

function placesFor(to: string): { readonly to: string; readonly beside: string } {
  return { to, beside: join(dirname(to), `.${basename(to)}.new`) };
}

/** Never through a link that somebody laid in its place. */
function replaceWith(path: string, content: string | Uint8Array): void {
  rmSync(path, { force: true });
  writeFileSync(path, content, { flag: "wx" });
}

function refuseFolder(path: string): void {
  if (lstatSync(path, { throwIfNoEntry: false })?.isDirectory()) refuse(path, "it is a folder");
}

function refuse(path: string, why: string): never {
  throw new CannotWork(`\`${path}\` cannot be written: ${why}`);
}

function attempt(path: string, act: () => void): void {
  try {
    act();
  } catch (error) {
    if (error instanceof CannotWork) throw error;
    refuse(path, reasonOf(error));
  }
}
