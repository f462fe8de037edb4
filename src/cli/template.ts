/** The small repository that `init` writes: path to text. Fictional, and free of findings; a test holds it to that. */
export const TEMPLATE: Readonly<Record<string, string>> = {
  "project.yaml": withSchema(
    "project",
    `kind: project
format: 1
title: Workshop air (fictional)
sources: [systems/*.yaml, rules/*.yaml, procedures/**/*.yaml]
cards: { paper: A5, profile: arm-length }
`,
  ),
  "systems/workshop-air.yaml": withSchema(
    "system",
    `# Fictional. Not for operation.
kind: system
title: Workshop air (fictional)

gauges:
  receiver: { label: RECEIVER, panel: air, unit: bar, range: 0 to 12, normal: 6 to 8, moves: compressor is running }

controls:
  supply: { label: SUPPLY, panel: air, positions: [off, on] }
  drain: { label: DRAIN, panel: air, positions: [closed, open] }

equipment:
  compressor:
    label: Compressor
    shown: the RUN light
    states: [stopped, running]
    changes:
      - { from: stopped, to: running, when: supply is on }
      - { from: running, to: stopped, when: supply is off }

lights:
  run: { label: RUN, panel: air, colour: green, lit-when: compressor is running }

layout:
  air: { title: AIR, area: workshop, at: [0, 0], size: [200, 100], places: { receiver: [40, 30], supply: [100, 30], run: [130, 30], drain: [160, 70] } }
`,
  ),
  "rules/standing.yaml": withSchema(
    "rules",
    `# Fictional. Not for operation.
kind: rules
rules:
  - id: drain-seen-before-running
    says: The drain is seen closed before the compressor runs.
    require: checked (drain is closed)
    when: compressor is running
    in: [start]
    because: The drain blows at face height.
  - { id: drained-when-left, require: drain is open, after: compressor is running, no-later-than: end, in: [stop] }
`,
  ),
  "procedures/start.yaml": withSchema(
    "procedure",
    `# Fictional. Not for operation.
kind: procedure
title: Start the compressor
category: normal
revision: { number: 1, date: 2026-11-01, effective: 2026-11-15, by: Workshop }
begins: [supply is off]
ends: [compressor is running, drain is closed]
next: stop
steps:
  - verify: { drain: closed }
  - set: { supply: on }
  - observe: [run]
    lit: [run]
    count: { green: 1 }
    if-not: { run: { set-aside: The compressor does not run. Call the workshop foreman. } }
  - wait-for: receiver is normal
    within: 4 min
    if-not: { set-aside: The pressure does not come up. Call the workshop foreman. }
`,
  ),
  "procedures/stop.yaml": withSchema(
    "procedure",
    `# Fictional. Not for operation.
kind: procedure
title: Stop the compressor
category: normal
revision: { number: 1, date: 2026-11-01, effective: 2026-11-15, by: Workshop }
begins: [compressor is running]
ends: [compressor is stopped, drain is open]
steps:
  - set: [supply: off, drain: open]
  - observe: [run]
    lit: none
    if-not: { run: { set-aside: The compressor does not stop. Pull the plug. } }
`,
  ),
  "README.md": `# Workshop air (fictional)

Fictional. Not for operation. Put your own equipment in \`systems/\`, what must always be so in \`rules/\`, and a card a file in
\`procedures/\`.

    proofcard check                 # reads, lints and proves; explains what is wrong
    proofcard build --out cards     # prints the cards

The step for a CI job, after \`proofcard\` is installed; it fails when a finding of level warning or error stands:

    proofcard check --fail-on warning

The first line of each YAML file tells an editor with a YAML language server which schema the file follows, so that it completes
keys and underlines mistakes. Point it at the folder in which \`proofcard\` is installed.
`,
};

function withSchema(kind: string, text: string): string {
  return `# yaml-language-server: $schema=node_modules/proofcard/schema/${kind}.schema.json\n${text}`;
}
