/** A small repository of one system and one card, for the examples of findings about printed cards. */
export function printed(cards: string, steps: string): Readonly<Record<string, string>> {
  return {
    "project.yaml": `kind: project\nformat: 1\ntitle: Workboat Tern (fictional)\n${cards ? `cards: ${cards}\n` : ""}`,
    "bilge.yaml": SYSTEM,
    "pump-bilge.yaml": `kind: procedure\ntitle: Pump the bilge\ncategory: normal\nuse-when: The well is full.\nsteps:\n${steps}`,
  };
}

export const STEPS = "  - set: { suction: open }\n  - set: { pump: on }\n";

const SYSTEM = `kind: system
title: Bilge of the workboat Tern (fictional)
controls:
  pump: { label: BILGE PUMP, positions: [off, on] }
  suction: { label: SUCTION, positions: [closed, open] }
`;
