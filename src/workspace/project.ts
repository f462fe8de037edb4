import { dirname, isAbsolute, join, relative, resolve, sep } from "node:path";
import { type Finding, finding, type Outcome } from "../diagnostics/finding.js";
import { SOURCE_MATCHES_NOTHING, SOURCE_OUTSIDE } from "../judge/kinds.js";
import type { SourceFile, Span } from "../source/file.js";
import { parseDocument } from "../syntax/parse.js";
import { readSource } from "../syntax/read.js";
import { entry, type Node } from "../syntax/tree.js";
import { findProject } from "./find-project.js";
import { CannotWork, type FileHost, reasonOf } from "./host.js";
import { findSources, isInside } from "./sources.js";

/** The files of one project, read. */
export interface Workspace {
  /** Absolute. */
  readonly root: string;
  /** The project file first, then the sources, sorted; paths relative to the root. */
  readonly files: readonly SourceFile[];
  readonly findings: readonly Finding[];
  /** The files asked for; absent: all. */
  readonly focus?: ReadonlySet<string>;
}

/**
 * Reads the project that the paths lie in: files, folders, or nothing for the current folder. Its file is the nearest one
 * above them with `kind: project`; a second one beside it is read too, and found wrong later. Throws `CannotWork` where there
 * is none, or a file cannot be read.
 */
export function openWorkspace(host: FileHost, current: string, paths: readonly string[]): Workspace {
  const asked = (paths.length > 0 ? paths : ["."]).map((path) => existing(host, current, path));
  const projectFiles = findProject(host, asked);
  const root = dirname(projectFiles[0]!);
  const projects = projectFiles.map((path) => read(host, root, path));
  const sources = sourcesOf(host, root, projects[0]!.value ?? { path: shownFrom(root, projectFiles[0]!), text: "" });
  const rest = sources.paths.map((path) => join(root, path)).filter((path) => !projectFiles.includes(path));
  const all = [...projects, ...rest.map((path) => read(host, root, path))];
  const files = all.flatMap(({ value }) => (value ? [value] : []));
  return {
    root,
    files,
    findings: [...sources.findings, ...all.flatMap(({ findings }) => findings)],
    ...focusOn(root, asked, files),
  };
}

function existing(host: FileHost, current: string, path: string): string {
  const absolute = resolve(current, path);
  const real = host.real(absolute);
  if (real === undefined) throw new CannotWork(`\`${path}\`: there is no such file or folder`);
  const kind = host.kindOf(real);
  if (kind !== "file" && kind !== "folder") throw new CannotWork(`\`${path}\` is neither a file nor a folder`);
  return absolute;
}

function read(host: FileHost, root: string, path: string): Outcome<SourceFile | undefined> {
  const shown = shownFrom(root, path);
  try {
    return readSource(shown, host.read(path));
  } catch (error) {
    throw new CannotWork(`\`${shown}\` cannot be read: ${reasonOf(error)}`);
  }
}

/** Relative to the root, with forward slashes. */
function shownFrom(root: string, path: string): string {
  return relative(root, path).split(sep).join("/");
}

function sourcesOf(host: FileHost, root: string, file: SourceFile): { paths: readonly string[]; findings: Finding[] } {
  const patterns = patternsOf(file);
  const inside = patterns.filter(({ text }) => !leadsOut(text));
  const { paths, matched } = findSources(
    host,
    root,
    inside.map(({ text }) => text),
  );
  const outside = patterns.filter(({ text }) => leadsOut(text)).map(sourceOutside);
  return { paths, findings: [...outside, ...inside.filter((_, index) => !matched[index]).map(matchesNothing)] };
}

interface Pattern {
  readonly text: string;
  readonly span: Span;
}

/** Without `sources`, every YAML file below the project's folder. */
function patternsOf(file: SourceFile): readonly Pattern[] {
  const { value } = parseDocument(file);
  const sources = value && entry(value.root, "sources")?.value;
  if (!sources) return [{ text: "**/*.{yaml,yml}", span: { file, start: 0, end: 0 } }];
  const written: readonly Node[] = sources.kind === "list" ? sources.items : [sources];
  return written.flatMap((item) => (item.kind === "scalar" ? [{ text: item.text, span: item.span }] : []));
}

function leadsOut(pattern: string): boolean {
  return isAbsolute(pattern) || /^[A-Za-z]:/.test(pattern) || pattern.split(/[\\/{},()|]/).includes("..");
}

function sourceOutside({ text, span }: Pattern): Finding {
  const help = ["move those files into the project's folder, or make the folder above it the project"];
  return finding(SOURCE_OUTSIDE, span, `\`${text}\` leads out of the project's folder`, { help });
}

function matchesNothing({ text, span }: Pattern): Finding {
  const help = ["correct the pattern, or take it out; patterns are relative to the project file"];
  return finding(SOURCE_MATCHES_NOTHING, span, `\`${text}\` matches no file`, { help });
}

function focusOn(
  root: string,
  asked: readonly string[],
  files: readonly SourceFile[],
): { focus?: ReadonlySet<string> } {
  if (asked.some((path) => isInside(path, root))) return {};
  const focus = new Set<string>();
  for (const path of asked) {
    const inside = files.filter((file) => isInside(path, join(root, file.path)));
    if (inside.length === 0) {
      throw new CannotWork(
        `\`${shownFrom(root, path)}\` holds no source of this project`,
        "add it to `sources` in the project file",
      );
    }
    for (const file of inside) focus.add(file.path);
  }
  return { focus };
}
