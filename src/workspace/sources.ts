import { join, relative, sep } from "node:path";
import picomatch from "picomatch";
import { compareText } from "../diagnostics/sink.js";
import { CannotWork, type FileHost, reasonOf } from "./host.js";

/**
 * Files below `root` that one of the `sources` patterns takes, relative to it, sorted, each once; and which patterns matched
 * anything. Links are followed within the root only; what cannot be read as a file is said, never passed over in silence.
 * Throws `CannotWork`.
 */
export function findSources(host: FileHost, root: string, patterns: readonly string[]): Found {
  const realRoot = host.real(root) ?? root;
  const found = new Map<string, string>();
  const matched = patterns.map((pattern) => {
    const context = { host, root, realRoot, matcher: matcherOf(pattern), found, hits: 0 };
    walk(context, context.matcher.base, []);
    return context.hits > 0;
  });
  return { paths: [...found.values()].sort(compareText), matched };
}

export interface Found {
  readonly paths: readonly string[];
  /** For each pattern. */
  readonly matched: readonly boolean[];
}

interface Matcher {
  readonly base: string;
  /** Folders below the base that a match may lie in; unbounded with `**`. */
  readonly depth: number;
  readonly matches: (path: string) => boolean;
}

interface Walk {
  readonly host: FileHost;
  readonly root: string;
  readonly realRoot: string;
  readonly matcher: Matcher;
  /** Real path to the first path that leads there. */
  readonly found: Map<string, string>;
  hits: number;
}

/** Not sources of anybody's cards, and large. */
const PASSED_OVER = new Set(["node_modules", ".git"]);

function matcherOf(pattern: string): Matcher {
  const plain = pattern.replace(/^(\.\/)+/, "");
  const { base, glob } = picomatch.scan(plain);
  return {
    base: glob === "" ? plain : base,
    depth: glob.includes("**") ? Number.POSITIVE_INFINITY : glob.split("/").length - 1,
    matches: picomatch(plain, { dot: true }),
  };
}

function walk(context: Walk, path: string, trail: readonly string[]): void {
  const { host, root, matcher } = context;
  const real = host.real(join(root, path));
  const taken = matcher.matches(path);
  if (real === undefined) {
    if (taken && host.kindOf(join(root, path))) refuse(path, "a link that leads nowhere");
    return;
  }
  const kind = host.kindOf(real);
  if (kind === "folder") {
    walkFolder(context, path, real, trail, taken);
    return;
  }
  if (!taken) return;
  if (kind !== "file") refuse(path, "neither a file nor a folder");
  if (!isInside(context.realRoot, real)) refuse(path, "a link to a file outside the project");
  context.hits += 1;
  const earlier = context.found.get(real);
  if (earlier === undefined || compareText(path, earlier) < 0) context.found.set(real, path);
}

function walkFolder(context: Walk, path: string, real: string, trail: readonly string[], taken: boolean): void {
  if (taken && /\.ya?ml$/.test(path)) refuse(path, "a folder with the name of a file");
  if (trail.includes(real) || trail.length > context.matcher.depth) return;
  if (!isInside(context.realRoot, real)) refuse(path, "a link to a folder outside the project");
  for (const name of namesIn(context.host, real, path)) {
    if (!PASSED_OVER.has(name)) walk(context, path === "" ? name : `${path}/${name}`, [...trail, real]);
  }
}

function namesIn(host: FileHost, folder: string, shown: string): readonly string[] {
  try {
    return host.list(folder);
  } catch (error) {
    throw new CannotWork(`\`${shown || "."}\` cannot be read: ${reasonOf(error)}`);
  }
}

/** True for the root itself and all below it. */
export function isInside(root: string, path: string): boolean {
  const way = relative(root, path);
  return way === "" || (way !== ".." && !way.startsWith(`..${sep}`) && !/^([A-Za-z]:|[\\/])/.test(way));
}

function refuse(path: string, what: string): never {
  throw new CannotWork(
    `\`${path}\` is ${what}`,
    "`sources` of the project takes it for a source: move it away, or narrow `sources`",
  );
}
