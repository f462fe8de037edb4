/** What the workspace asks of a file system; tests give it one in memory, the tool the one of node. Paths are absolute. */
export interface FileHost {
  /** The bytes of a file; throws as node does when there are none to be had. */
  read(path: string): Uint8Array;
  /** What stands at a path, links not followed; undefined where there is nothing. */
  kindOf(path: string): EntryKind | undefined;
  /** The path with every link followed; undefined where a link leads nowhere or round in circles. */
  real(path: string): string | undefined;
  /** Names in a folder, sorted by code unit; throws as node does. */
  list(folder: string): readonly string[];
}

export type EntryKind = "file" | "folder" | "link" | "other";

/** A reason why the work could not be done at all: told on stderr, exit status 2. `help` is the way out. */
export class CannotWork extends Error {
  override readonly name = "CannotWork";

  constructor(
    message: string,
    readonly help?: string,
  ) {
    super(message);
  }
}

/** The reason in an error of the file system, in words. */
export function reasonOf(error: unknown): string {
  const code = (error as { code?: unknown } | undefined)?.code;
  const known = typeof code === "string" ? REASONS[code] : undefined;
  return known ?? (error instanceof Error ? error.message : String(error));
}

const REASONS: Readonly<Record<string, string>> = {
  EACCES: "permission denied",
  EPERM: "permission denied",
  ENOENT: "there is no such file or folder",
  ENOTDIR: "a part of the path is not a folder",
  EISDIR: "it is a folder",
  ELOOP: "its links go round in circles",
  ENAMETOOLONG: "the name is too long",
  ENOSPC: "the disk is full",
  EROFS: "the disk cannot be written to",
  EMFILE: "too many files are open",
};
