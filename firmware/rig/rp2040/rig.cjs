// The rig's line protocol for an emulated RP2040: one command a line on standard input, answers on standard output. See ../README.md.
"use strict";

const readline = require("node:readline");
const { LOW, HIGH, NONE, Chain, Expander, Mux } = require("./nets.cjs");
const { Machine } = require("./machine.cjs");

const m = new Machine();
const chains = new Map(), expanders = new Map(), muxes = new Map();
const LEVELS = { low: LOW, high: HIGH, float: NONE };

function number(text) {
  const n = Number(text);
  if (text === undefined || !Number.isFinite(n)) throw new Error(`not a number: ${text}`);
  return n;
}
function bytes(text = "") {
  if (!/^([0-9A-Fa-f]{2})*$/.test(text)) throw new Error(`not bytes: ${text}`);
  return Uint8Array.from(Buffer.from(text, "hex"));
}
function level(text) {
  if (!(text in LEVELS)) throw new Error(`not a level: ${text}`);
  return LEVELS[text];
}
function of(map, name) {
  const x = map.get(name);
  if (!x) throw new Error(`there is no ${name}`);
  return x;
}
function chip() {
  if (!m.mcu) throw new Error("no image is loaded");
}
const flag = (on) => (on ? 1 : 0);

const commands = {
  image: (file) => m.load(file),
  switch: (name, a, b, diode) => m.nets.addSwitch(name, a, b, diode === "diode"),
  close: (name) => m.nets.setSwitch(name, true),
  open: (name) => m.nets.setSwitch(name, false),
  wire: (n, l) => m.nets.wire(n, level(l)),
  adc(channel, mv) { m.mv[number(channel)] = number(mv); },
  chain(name, load, clock, data, bits) {
    const c = new Chain(m.nets, load, clock, data, number(bits));
    chains.set(name, c);
    m.nets.parts.push(c);
    m.nets.update();
  },
  chainbit(name, k, v) {
    of(chains, name).set(number(k), number(v));
    m.nets.update();
  },
  expander(name, sda, scl, address) {
    const x = new Expander(m.nets, sda, scl, number(address), (t) => m.lint(t));
    expanders.set(name, x);
    m.nets.parts.push(x);
    m.nets.update();
  },
  line(name, k, l) { of(expanders, name).lines[number(k)] = level(l); },
  lines: (name) => `lines ${of(expanders, name).lineLevels().toString(16).toUpperCase().padStart(4, "0")}`,
  absent(name, v) {
    of(expanders, name).absent = v === "1";
    m.nets.update();
  },
  mux(name, channel, ...selects) {
    const x = new Mux(m.nets, number(channel), selects, () => m.now());
    muxes.set(name, x);
    m.muxes.push(x);
    m.nets.parts.push(x);
    m.nets.update();
  },
  muxline(name, k, mv) { of(muxes, name).mv[number(k)] = number(mv); },
  run: (us) => m.run(number(us) * 1000),
  time: () => `time ${Math.floor(m.now() / 1000)}`,
  level: (n) => `level ${m.nets.at(n)}`,
  clock: () => `clock ${Math.round(m.mcu.clkSys)}`,
  setup(packet, data) {
    chip();
    return m.usb.transfer(bytes(packet), bytes(data));
  },
  setup2(first, second) {
    chip();
    m.usb.setup(bytes(first));
    return m.usb.transfer(bytes(second), new Uint8Array(0));
  },
  token(packet) {
    chip();
    return m.usb.setup(bytes(packet));
  },
  in(ep) {
    chip();
    const r = m.usb.in(number(ep));
    return r.what === "data" ? `data ${Buffer.from(r.data).toString("hex").toUpperCase()}` : r.what;
  },
  out(ep, data) {
    chip();
    return m.usb.out(number(ep), bytes(data));
  },
  reset() {
    chip();
    m.usb.reset();
  },
  address(n) { m.usb.address = number(n); },
  sof(v) { m.usb.sof = v === "on"; },
  suspend() {
    chip();
    m.usb.suspend();
  },
  resume() {
    chip();
    m.usb.resume();
  },
  wakeup() {
    const v = m.usb.woken;
    m.usb.woken = false;
    return `wakeup ${flag(v)}`;
  },
  attached: () => `attached ${flag(m.mcu && m.usb.attached())}`,
  loader: () => `loader ${flag(m.loader)}`,
  cycles() {
    chip();
    return `cycles ${m.cycles().join(" ")}`;
  },
  lint: () => [`lint ${m.lints.size}`, ...[...m.lints].map(([text, n]) => `${text} (${n} times)`)].join("\n"),

  // Beyond the common protocol. Runs until an IN endpoint has something to give, at most so long, and says after how many ns.
  ready(ep, us) {
    chip();
    const from = m.now();
    const at = m.usb.control(number(ep), "in");
    const has = () => (m.usb.word(at) & 1 << 10) !== 0;
    m.watch = has;
    m.until(from + number(us) * 1000);
    m.watch = null;
    return has() ? `ready ${Math.round(m.now() - from)}` : "ready never";
  },
  // Whether the controller's sign of a sleeping bus stands as long as it sleeps, or until it is cleared: the data sheet leaves it open.
  lasting(v) { m.usb.lasting = v === "on"; },
  // The processor stands still from now on.
  freeze() {
    chip();
    m.halted = true;
  },
  // How often the watchdog, or the core itself, has restarted the chip.
  restarts: () => `restarts ${m.restarts}`,
};

readline.createInterface({ input: process.stdin }).on("line", (text) => {
  const [name, ...args] = text.trim().split(/\s+/);
  if (!name) return;
  let answer;
  try {
    if (!Object.hasOwn(commands, name)) throw new Error(`no command ${name}`);
    answer = commands[name](...args);
  } catch (e) {
    process.stdout.write(`error ${String(e.message).replace(/\s+/g, " ")}\n`);
    return;
  }
  process.stdout.write(answer === undefined ? "ok\n" : `${answer}\nok\n`);
});
