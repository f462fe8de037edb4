import { lstatSync, readdirSync, readFileSync, realpathSync } from "node:fs";
import { compareText } from "../diagnostics/sink.js";
import type { EntryKind, FileHost } from "./host.js";

/** The file system of this machine. */
export const nodeHost: FileHost = {
  read: (path) => readFileSync(path),
  kindOf(path) {
    try {
      return kindOfEntry(lstatSync(path));
    } catch {
      return undefined;
    }
  },
  real(path) {
    try {
      return realpathSync(path);
    } catch {
      return undefined;
    }
  },
  list: (folder) => readdirSync(folder).sort(compareText),
};

function kindOfEntry(found: { isFile(): boolean; isDirectory(): boolean; isSymbolicLink(): boolean }): EntryKind {
  if (found.isSymbolicLink()) return "link";
  if (found.isFile()) return "file";
  return found.isDirectory() ? "folder" : "other";
}
