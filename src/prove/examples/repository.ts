/** A small repository that raises a code, and the same one mended: file name to YAML text. */
export interface Example {
  readonly bad: Readonly<Record<string, string>>;
  readonly good: Readonly<Record<string, string>>;
}

/** What an example says beside its steps. */
export interface Around {
  /** The file of the system. */
  readonly system: string;
  /** One rule, in block form without the dash. */
  readonly rule?: string;
  /** Further keys of the card, a line each: `begins`, `ends`. */
  readonly head?: string;
  readonly title?: string;
  /** More files, whole. */
  readonly files?: Readonly<Record<string, string>>;
}

/** A whole repository of one system, one card of these steps, in blocks of YAML, and, where given, one rule. */
export function repository(around: Around, ...steps: readonly string[]): Readonly<Record<string, string>> {
  const { system, rule, head = "", title = "Make ready", files } = around;
  const card = [
    "kind: procedure",
    `title: ${title}`,
    "category: normal",
    ...lines(head),
    "steps:",
    ...steps.flatMap((block) => lines(block, 2)),
  ];
  return {
    "plant.yaml": system,
    ...(rule === undefined ? {} : { "rules.yaml": `kind: rules\nrules:\n${ruleLines(rule)}` }),
    "card.yaml": `${card.join("\n")}\n`,
    ...files,
  };
}

function ruleLines(rule: string): string {
  return lines(rule)
    .map((line, index) => `  ${index === 0 ? "-" : " "} ${line}\n`)
    .join("");
}

/** Without empty lines and without the indentation that all share. */
function lines(text: string, by = 0): readonly string[] {
  const all = text.split("\n").filter((line) => line.trim() !== "");
  const shared = Math.min(...all.map((line) => line.length - line.trimStart().length));
  return all.map((line) => `${" ".repeat(by)}${line.slice(shared)}`);
}
