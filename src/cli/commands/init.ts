import { existsSync } from "node:fs";
import { join } from "node:path";
import { CannotWork } from "../../workspace/host.js";
import { results } from "../process.js";
import { TEMPLATE } from "../template.js";
import { writeFiles } from "../write-files.js";

/** Writes a small working project into a folder. Throws `CannotWork` where a file of it is already there. */
export function init(folder: string): void {
  const names = Object.keys(TEMPLATE);
  const there = names.filter((name) => existsSync(join(folder, name)));
  if (there.length > 0) {
    throw new CannotWork(
      `\`${there[0]}\` is already there; nothing was written`,
      "name a new folder: `proofcard init DIR`",
    );
  }
  writeFiles(
    folder,
    names.map((name) => ({ name, content: TEMPLATE[name]! })),
  );
  results(names.map((name) => `${join(folder, name).replaceAll("\\", "/")}\n`).join(""));
  console.error(`A small project is ready. Try \`proofcard check${folder === "." ? "" : ` ${folder}`}\`.`);
}
