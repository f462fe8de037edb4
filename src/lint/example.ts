/** What may be told of the small repository of a finding's page. Texts are YAML as it stands in the file. */
interface CardParts {
  /** Keys of the card beside its kind, id, title and category. */
  readonly head?: string;
  readonly title?: string;
  readonly category?: string;
  readonly system?: string;
}

/** A whole repository of one small system and one card with these lines, for the bad and the good example of a rule. */
export function cardWith(steps: string, parts: CardParts = {}): Readonly<Record<string, string>> {
  return { "project.yaml": PROJECT, "bilge.yaml": parts.system ?? BILGE, "pump-bilge.yaml": cardText(steps, parts) };
}

/** The text of the card alone. */
export function cardText(steps: string, parts: CardParts = {}): string {
  const head = [
    "kind: procedure",
    `title: ${parts.title ?? "Pump the bilge"}`,
    `category: ${parts.category ?? "normal"}`,
  ];
  return `${[...head, ...block(parts.head ?? ""), "steps:", ...block(steps).map((line) => `  ${line}`)].join("\n")}\n`;
}

/** The equipment of the examples, with these lights. */
export function systemWith(lights: string): string {
  return `${BILGE}${["lights:", ...block(lights).map((line) => `  ${line}`)].join("\n")}\n`;
}

/** The equipment of the examples, with these panels. */
export function systemWithLayout(panels: string): string {
  return `${BILGE}${["layout:", ...block(panels).map((line) => `  ${line}`)].join("\n")}\n`;
}

/** Lines of a text without the empty ones and without the indentation that they share. */
function block(text: string): readonly string[] {
  const lines = text.split("\n").filter((line) => line.trim() !== "");
  const indent = Math.min(...lines.map((line) => line.length - line.trimStart().length));
  return lines.map((line) => line.slice(indent));
}

const PROJECT = "kind: project\nformat: 1\ntitle: Workboat Tern (fictional)\n";

/** The equipment of the examples, without lights. */
export const BILGE = `kind: system
title: Bilge of the workboat Tern (fictional)
controls:
  pump: { label: BILGE PUMP, positions: [off, on] }
  suction: { label: SUCTION, positions: [closed, open] }
gauges:
  well: { label: WELL, unit: L, range: 0 to 400 }
`;
