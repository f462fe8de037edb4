/** Lines that an example adds to the small repository which all examples of this layer are made from. */
export interface ExampleLines {
  /** After the controls of the system: `equipment:` and what follows. */
  readonly system?: string;
  /** Further controls, each a line of the map. */
  readonly controls?: string;
  /** Further keys of the procedure, before `steps:`. */
  readonly procedure?: string;
  /** The steps; one that sets the pump where not given. */
  readonly steps?: string;
  /** The rules; no file where not given. */
  readonly rules?: string;
  /** More files, whole. */
  readonly files?: Readonly<Record<string, string>>;
}

/** A whole repository, small enough to read on the page of a finding: file name to text. */
export function example(lines: ExampleLines): Readonly<Record<string, string>> {
  return {
    "systems/bilge.yaml": system(lines),
    "procedures/pump-out.yaml": procedure(lines),
    ...(lines.rules === undefined ? {} : { "rules/bilge.yaml": `kind: rules\nrules:\n${indented(lines.rules, 2)}` }),
    ...lines.files,
  };
}

function system({ controls = "", system: more = "" }: ExampleLines): string {
  return [
    "kind: system",
    "id: bilge",
    "title: Bilge system (fictional)",
    "controls:",
    "  pump: { label: PUMP, positions: [off, on] }",
    "  valve: { label: VALVE, sides: [port, starboard], positions: [closed, open] }",
    "  test: { label: TEST, positions: [rest, test], springs: { test: rest } }",
    `${indented(controls, 2)}${indented(more, 0)}`,
  ].join("\n");
}

function procedure({ procedure: more = "", steps = "- set: { pump: on }" }: ExampleLines): string {
  return [
    "kind: procedure",
    "id: pump-out",
    "title: Pump out",
    "category: normal",
    `${indented(more, 0)}steps:`,
    indented(steps, 2),
  ].join("\n");
}

function indented(text: string, by: number): string {
  const lines = text.split("\n").filter((line) => line !== "");
  return lines.map((line) => `${" ".repeat(by)}${line}\n`).join("");
}
