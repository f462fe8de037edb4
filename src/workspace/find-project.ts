import { basename, dirname, join } from "node:path";
import { CannotWork, type FileHost } from "./host.js";

/**
 * The files with `kind: project` in the nearest folder at or above the paths that has one, sorted, as absolute paths.
 * Throws `CannotWork` where there is none, or where the paths lie in different projects.
 */
export function findProject(host: FileHost, paths: readonly string[]): readonly string[] {
  const found = paths.map((path) => projectAbove(host, path));
  const folders = new Set(found.map(([first]) => dirname(first!)));
  if (folders.size > 1) throw new CannotWork("the paths lie in different projects", "check one project at a time");
  return [...new Set(found.flat())].sort();
}

function projectAbove(host: FileHost, path: string): string[] {
  for (let folder = isFile(host, path) ? dirname(path) : path; ; folder = dirname(folder)) {
    const found = projectFilesIn(host, folder);
    if (found.length > 0) return found;
    if (dirname(folder) === folder) break;
  }
  const bare = PROJECT_NAMES.map((name) => join(path, name)).find((one) => isFile(host, one));
  throw new CannotWork(
    "no project here: neither this folder nor one above it has a file with `kind: project`",
    bare
      ? `\`${basename(bare)}\` is there and does not say it: write \`kind: project\` into it`
      : "`proofcard init` makes a small one to start from",
  );
}

/** Names that a project's file most often has. */
const PROJECT_NAMES = ["project.yaml", "project.yml"];

function isFile(host: FileHost, path: string): boolean {
  const real = host.real(path);
  return real !== undefined && host.kindOf(real) === "file";
}

function projectFilesIn(host: FileHost, folder: string): string[] {
  return listed(host, folder)
    .filter((name) => /\.ya?ml$/.test(name))
    .map((name) => join(folder, name))
    .filter((path) => isFile(host, path) && isProjectFile(host, path));
}

/** Folders above the one asked for may be closed to us; there is no project of ours in them then. */
function listed(host: FileHost, folder: string): readonly string[] {
  try {
    return host.list(folder);
  } catch {
    return [];
  }
}

function isProjectFile(host: FileHost, path: string): boolean {
  try {
    return /^kind[ \t]*:[ \t]*["']?project["']?[ \t]*(?:#.*)?\r?$/m.test(new TextDecoder().decode(host.read(path)));
  } catch {
    return false;
  }
}
