import { describe, expect, it } from "vitest";
import { complaintsOf, programOf, systemOf } from "./on-text.js";
import { say } from "./say.js";

describe("things", () => {
  const system = systemOf({});

  it("are there once for each side, with their full id and what is printed for the side", () => {
    expect([...system.controls.keys()]).toEqual([
      "bus",
      "bus.guard",
      "pump.port",
      "pump.starboard",
      "key",
      "heat",
      "valve.port",
      "valve.starboard",
      "valve.port.guard",
      "valve.starboard.guard",
    ]);
    expect(system.controls.get("pump.port")).toMatchObject({
      label: "PUMP",
      family: "pump",
      side: "port",
      sideLabel: "1",
    });
    expect(system.gauges.get("tank.port")).toMatchObject({ family: "tank", side: "port", sideLabel: "port" });
    expect(system.controls.get("bus")).not.toHaveProperty("side");
  });

  it("mean their own side by `.side`", () => {
    expect(say(system.conditions.get("running.port")?.means)).toBe("(control pump.port is on and [power])");
    expect(say(system.lights.get("low.starboard")?.litWhen)).toBe("control pump.starboard is off");
  });

  it("have the id in words for a label where none is written", () => {
    expect(system.conditions.get("power")?.label).toBe("power");
    expect(system.outside.get("shore")?.label).toBe("shore");
  });

  it("point at their key", () => {
    const { file, start, end } = system.controls.get("key")!.span;
    expect(file.text.slice(start, end)).toBe("key");
  });
});

describe("controls", () => {
  const { controls } = systemOf({
    system: `
      layout:
        desk: { title: DESK, area: bridge, at: [0, 10], size: [100, 50.5], places: { bus: [30, 40], bus.guard: [30, 44], ready: [1, 2] } }`,
  });

  it("have the id in capitals for a placard in a list, the words engraved in a map", () => {
    expect(controls.get("bus")?.positions).toEqual([
      { id: "off", placard: "OFF" },
      { id: "on", placard: "ON" },
    ]);
    expect(controls.get("key")?.positions.map(({ placard }) => placard)).toEqual(["OFF", "RUN", "START"]);
  });

  it("have a guard that is a control itself", () => {
    expect(controls.get("bus")).toMatchObject({ guard: "bus.guard", panel: "desk", at: [30, 40] });
    expect(controls.get("bus.guard")).toMatchObject({
      label: "BUS guard",
      family: "bus.guard",
      positions: [
        { id: "closed", placard: "CLOSED" },
        { id: "open", placard: "OPEN" },
      ],
      guards: { control: "bus", position: "on" },
      panel: "desk",
      at: [30, 44],
    });
    expect(controls.get("valve.port")?.guard).toBe("valve.port.guard");
    expect(controls.get("valve.port.guard")).toMatchObject({
      side: "port",
      guards: { control: "valve.port", position: "closed" },
    });
  });

  it("have springs and a duty in milliseconds", () => {
    const key = systemOf({
      system: "layout: { desk: { title: DESK } }",
    }).controls.get("key");
    expect([...(key?.springs ?? [])]).toEqual([["crank", "run"]]);
    const limited = programOf({
      files: {
        "other.yaml":
          "kind: system\nid: other\ntitle: Other\ncontrols:\n  key: { label: KEY, positions: [off, on], springs: { on: off }, duty: { on: 15 s, rest: 1.5 min, tries: 3 }, safety: true }\n",
      },
      procedure: "system: plant",
    })
      .systems.get("other")!
      .controls.get("key");
    expect(limited).toMatchObject({ duty: { on: 15_000, rest: 90_000, tries: 3 }, safety: true });
  });
});

describe("gauges", () => {
  const { gauges } = systemOf({
    system: "",
  });

  it("have range and bands in their unit", () => {
    expect(gauges.get("oil")).toMatchObject({
      unit: "bar",
      dimension: "pressure",
      low: { text: "0 bar" },
      high: { text: "8 bar", value: { numerator: 800_000n, denominator: 1n } },
      bands: [{ name: "normal", low: { text: "3 bar" }, high: { text: "4.5 bar" } }],
    });
  });

  it("move always, while a condition holds, or never", () => {
    expect(say(gauges.get("oil")?.moves)).toBe("true");
    expect(gauges.get("tank.port")).not.toHaveProperty("moves");
  });
});

describe("equipment", () => {
  const motor = systemOf({}).equipment.get("motor")!;

  it("has changes in written order: immediate, delayed, failures", () => {
    expect(
      motor.changes.map(({ from, to, takes, anytime, when }) => ({ from, to, takes, anytime, when: say(when) })),
    ).toEqual([
      { from: ["still"], to: "turning", takes: undefined, anytime: false, when: "control key is crank" },
      { from: ["turning"], to: "still", takes: { low: 3000, high: 12_000 }, anytime: false, when: "nothing" },
      { from: ["still", "turning"], to: "tripped", takes: undefined, anytime: true, when: "nothing" },
    ]);
  });
});

describe("lights", () => {
  const { lights, lightSets, groups } = systemOf({});

  it("have their logic, and none where none is written", () => {
    expect(lights.get("ready")).toMatchObject({ in: "key", colour: "green", sound: false });
    expect(say(lights.get("ready")?.litWhen)).toBe("equipment motor is turning");
    expect(lights.get("spare")).not.toHaveProperty("litWhen");
  });

  it("sit in sets and groups with their sides spelled out", () => {
    expect(lightSets.get("board")).toMatchObject({
      label: "board",
      lights: ["ready", "low.port", "low.starboard", "hot"],
    });
    expect(groups.get("warmers")?.members).toEqual(["heat", "pump.port", "pump.starboard"]);
  });

  it("are lit where they only flash", () => {
    const files =
      "kind: system\nid: other\ntitle: Other\ncontrols:\n  key: { label: KEY, positions: [off, on] }\nlights:\n  a: { label: A, flashing-when: key is on }\n";
    const other = programOf({ files: { "other.yaml": files }, procedure: "system: plant" }).systems.get("other")!;
    expect(say(other.lights.get("a")?.litWhen)).toBe("control key is on");
  });
});

describe("the fleet", () => {
  it("has the members that are listed", () => {
    expect(systemOf({}).tails.map(({ name, fit }) => [name, fit.get("heater")])).toEqual([
      ["Auk", "fitted"],
      ["Tern", "absent"],
    ]);
  });

  const other = (lines: string) => {
    const text = `kind: system\nid: other\ntitle: Other\ncontrols:\n  key: { label: KEY, positions: [off, on] }\n${lines}`;
    return programOf({ files: { "other.yaml": text }, procedure: "system: plant" }).systems.get("other")!;
  };

  it("is every combination of the fit where none are listed", () => {
    const { tails } = other("fit:\n  a: [x, y]\n  b: [p, q]\n");
    expect(tails.map(({ name }) => name)).toEqual(["a=x, b=p", "a=x, b=q", "a=y, b=p", "a=y, b=q"]);
  });

  it("is one member without a name where there is no fit", () => {
    expect(other("").tails).toMatchObject([{ name: "", fit: new Map() }]);
  });
});

describe("the layout", () => {
  it("gives panels their size, and things that sit in a control its place", () => {
    const { panels, lights } = systemOf({
      system: "layout:\n  desk: { title: DESK, area: bridge, at: [0, 10], size: [100, 50.5], places: { key: [5, 6] } }",
    });
    expect(panels.get("desk")).toMatchObject({ title: "DESK", area: "bridge", at: [0, 10], size: [100, 50.5] });
    expect(lights.get("ready")).toMatchObject({ in: "key", panel: "desk", at: [5, 6] });
  });
});

/** A control, a light or what else is needed of a second system, and what is said of it. */
describe("faults", () => {
  const faults = (lines: string) => {
    const text = `kind: system\nid: other\ntitle: Other\n${lines}\n`;
    return complaintsOf({ files: { "other.yaml": text }, procedure: "system: plant" });
  };
  const key = "controls:\n  key: { label: KEY, positions: [off, on] }\n";

  it.each([
    [
      "controls:\n  key: { label: KEY, positions: [off, on], guard-holds: up }",
      'position/unknown at "up": `key` has no position `up`',
    ],
    [
      "controls:\n  key: { label: KEY, positions: [off, on], springs: { on: up } }",
      'position/unknown at "up": `key` has no position `up`',
    ],
    [
      "controls:\n  key: { label: KEY, positions: [off, on], springs: { on: on } }",
      'control/spring at "on": `on` springs to `on`, which is sprung itself',
    ],
    [
      "controls:\n  key: { label: KEY, positions: [off, on], springs: { on: off }, guard-holds: on }",
      'control/spring at "on": a guard cannot hold `on`, which springs back when let go',
    ],
    [
      "controls:\n  key: { label: KEY, positions: [off, on], duty: { tries: 3 } }",
      'control/spring at "duty": `key` has a `duty` and no sprung position that it could limit',
    ],
    [
      "controls:\n  key: { label: KEY, sides: [a, b], positions: [off, on], fitted: key.side is on }",
      'condition/not-here at "key.side": `key.side` is a control: `fitted` may name the fit only',
    ],
    [
      "controls:\n  all: { label: KEY, positions: [off, on] }",
      'name/reserved at "all": `all` is a word of the language and cannot be a name',
    ],
    [
      `${key}conditions:\n  key: key is on`,
      'name/twice at "key": `key` is already the name of a control of this system',
    ],
    [
      `${key}conditions:\n  lone: { sides: [a], means: key.side is on }`,
      'name/no-side at "key.side": `key` has no sides',
    ],
    [`${key}conditions:\n  lone: other.side is on`, 'name/unknown at "other": `other` is not the name of a thing'],
    [
      `${key}conditions:\n  timed: (key is on) for 3 s`,
      'condition/not-here at "(key is on) for 3 s": `for` has no meaning in a named condition',
    ],
    [
      `${key}conditions:\n  seen: checked (key is on)`,
      'condition/not-here at "checked (key is on)": `checked` has no meaning in a named condition',
    ],
    [
      `${key}lights:\n  a: { label: A }\n  b: { label: B, lit-when: a is lit }`,
      'condition/not-here at "a": `a` has no `lit-when`, so nothing can be proved of it in `lit-when`',
    ],
    [`${key}lights:\n  a: { label: A, lit-when: a is out }`, 'condition/cycle at "a": `a` is explained by itself'],
    [
      `${key}lights:\n  a: { label: A, lit-when: b }\nconditions:\n  b: a is lit`,
      'condition/cycle at "a": a ring of conditions: `b` -> `a` -> `b`',
    ],
    [
      `${key}lights:\n  a: { label: A, latched-until: key is on }`,
      'light/without-cause at "latched-until": `a` has `latched-until` and no `lit-when`',
    ],
    [`${key}lights:\n  a: { label: A, in: keys }`, 'name/unknown at "keys": `keys` is not the name of a control'],
    [
      `${key}light-sets:\n  all-lights: [key]`,
      'name/wrong-kind at "key": `key` is a control, and a light set holds lights only',
    ],
    [
      `${key}groups:\n  one: [key]\n  two: [one]`,
      'name/wrong-kind at "one": `one` is a group, and a group holds things only',
    ],
    [
      `${key}layout:\n  desk: { title: DESK, places: { kye: [1, 1] } }`,
      'name/unknown at "kye": `kye` is not the name of a thing',
    ],
    [
      `${key}equipment:\n  m: { label: M, states: [a, b], changes: [{ from: a, to: c, takes: 3 s }] }`,
      'position/unknown at "c": `m` has no state `c`',
    ],
    [
      `${key}equipment:\n  m: { label: M, states: [a, b], changes: [{ from: a, to: a, takes: 3 s }] }`,
      'change/without-cause at "a": a change from `a` to itself changes nothing',
    ],
    [
      `${key}equipment:\n  m: { label: M, states: [a, b], changes: [{ from: a, to: b }] }`,
      'change/without-cause at "{ from: a, to: b }": nothing causes the change of `m` to `b`',
    ],
    [
      `${key}equipment:\n  m: { label: M, states: [a, b], changes: [{ from: a, to: b, takes: 9 s to 3 s }] }`,
      'quantity/unreadable at "9 s to 3 s": `9 s to 3 s` is not a range: its low end is above its high end',
    ],
    [
      `${key}gauges:\n  g: { label: G, unit: L, range: 8 to 0 }`,
      'quantity/unreadable at "8 to 0": `8 to 0` is not a range: its low end is above its high end',
    ],
    [
      `${key}fit:\n  f: [x, y]\nfleet:\n  Auk: { g: x }`,
      'fleet/incomplete at "Auk": `Auk` does not say its `f`',
      'name/unknown at "g": `g` is not one of the `fit` of this system',
    ],
    [`${key}fit:\n  f: [x, y]\nfleet:\n  Auk: { f: z }`, 'position/unknown at "z": `f` has no value `z`'],
  ])("%s", (lines, ...expected) => {
    expect(faults(lines)).toEqual(expected);
  });

  it("says a ring of conditions once, wherever it is entered", () => {
    expect(faults(`${key}conditions:\n  x: a\n  a: b\n  b: a\n  y: b`)).toEqual([
      'condition/cycle at "b": a ring of conditions: `a` -> `b` -> `a`',
    ]);
  });

  it("follows a chain of conditions of any length", () => {
    const chain = Array.from({ length: 20_000 }, (_, n) => `  c${n}: c${n + 1}\n`).join("");
    expect(faults(`${key}conditions:\n${chain}  c20000: key is on`)).toEqual([]);
  });
});
