import { posix } from "node:path";
import type { FileHost } from "../../src/workspace/host.js";

/** A file system in memory: absolute path to text. Folders are those that the paths need. */
export function memoryHost(files: Readonly<Record<string, string>>): FileHost {
  const folders = new Set(Object.keys(files).flatMap(foldersAbove));
  return {
    read(path) {
      const text = files[path];
      if (text === undefined) throw Object.assign(new Error(path), { code: "ENOENT" });
      return new TextEncoder().encode(text);
    },
    kindOf: (path) => (path in files ? "file" : folders.has(path) ? "folder" : undefined),
    real: (path) => (path in files || folders.has(path) ? path : undefined),
    list(folder) {
      const inside = [...Object.keys(files), ...folders].filter(
        (path) => path !== folder && posix.dirname(path) === folder,
      );
      return [...new Set(inside.map((path) => posix.basename(path)))].sort();
    },
  };
}

function foldersAbove(path: string): string[] {
  const above = posix.dirname(path);
  return above === path ? [above] : [above, ...foldersAbove(above)];
}
