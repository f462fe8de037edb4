/** The small repository that the examples of finding codes are variations of. Fictional. */
const PROJECT = "kind: project\nformat: 1\ntitle: Training rig (fictional)\n";

const SYSTEM = `kind: system
id: rig
title: Training rig
controls:
  pump: { label: PUMP, positions: [off, on] }
`;

const CARD = `kind: procedure
title: Start the rig
category: normal
steps:
  - set: { pump: on }
`;

/** The repository with this text as its card. */
export function withCard(card: string): Readonly<Record<string, string>> {
  return { "project.yaml": PROJECT, "rig.yaml": SYSTEM, "start.yaml": card };
}

/** The repository with this text in place of the card's steps. */
export function withSteps(steps: string): Readonly<Record<string, string>> {
  return withCard(CARD.replace("  - set: { pump: on }\n", steps));
}

/** The repository with a file beside its card. */
export function withFile(path: string, text: string): Readonly<Record<string, string>> {
  return { ...withCard(CARD), [path]: text };
}

export const SMALL_REPOSITORY = withCard(CARD);
