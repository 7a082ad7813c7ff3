// Pins and what is wired to them: contacts, diodes, drivers, and parts that watch their pins. A net's level comes from what drives it
// hard, then from pull-ups and pull-downs; what nothing holds stays as it was.
"use strict";

const LOW = 0, HIGH = 1, NONE = -1;
const PINS = 30;

class Nets {
  constructor(lint) {
    this.lint = lint;
    this.names = new Map([["gnd", PINS], ["vcc", PINS + 1]]);
    this.count = PINS + 2;
    this.switches = new Map(); // name -> {a, b, diode, closed}
    this.drivers = [];         // {node, level, weak}
    this.parts = [];
    this.closed = [];
    this.level = new Int8Array(0);
    this.chip = { oe: 0, out: 0, up: 0, down: 0, input: 0 };
    this.drive("gnd", LOW);
    this.drive("vcc", HIGH);
    this.wires = new Map();
    this.known = new Map(); // what was evaluated, by what drives and what is closed
  }

  node(name) {
    if (/^\d+$/.test(name)) {
      const n = Number(name);
      if (n >= PINS) throw new Error(`there is no pin ${name}`);
      return n;
    }
    if (!/^[A-Za-z][\w-]*$/.test(name ?? "")) throw new Error(`a node is named ${name}`);
    if (!this.names.has(name)) this.names.set(name, this.count++);
    return this.names.get(name);
  }

  drive(name, level, weak = false) {
    const d = { node: typeof name === "number" ? name : this.node(name), level, weak };
    this.drivers.push(d);
    return d;
  }

  wire(name, level) {
    if (!this.wires.has(name)) this.wires.set(name, this.drive(name, NONE));
    this.wires.get(name).level = level;
    this.update();
  }

  addSwitch(name, a, b, diode) {
    this.switches.set(name, { a: this.node(a), b: this.node(b), diode, closed: false });
    this.update();
  }

  setSwitch(name, closed) {
    const s = this.switches.get(name);
    if (!s) throw new Error(`there is no switch ${name}`);
    s.closed = closed;
    this.closed = [...this.switches.values()].filter((x) => x.closed);
    this.known.clear();
    this.update();
  }

  // spread carries a level along closed contacts. Current flows from anode to cathode: a low cathode pulls its anode down, a high anode
  // lifts its cathode.
  spread(queue, level, kind, fixed) {
    while (queue.length > 0) {
      const n = queue.pop();
      for (const s of this.closed) {
        let to = -1;
        if (s.a === n && (!s.diode || level === HIGH)) to = s.b;
        else if (s.b === n && (!s.diode || level === LOW)) to = s.a;
        if (to < 0 || kind[to] === level) continue;
        if (fixed[to] !== NONE) {
          if (fixed[to] !== level) this.lint("two outputs against each other");
          continue;
        }
        if (kind[to] !== NONE) continue;
        kind[to] = level;
        queue.push(to);
      }
    }
  }

  // levels gives all levels; the same drivers and contacts give the same, but for what nothing holds.
  levels() {
    const { chip } = this;
    let drivers = 0;
    for (const d of this.drivers) drivers = drivers * 3 + d.level + 1;
    const key = `${chip.oe} ${chip.out & chip.oe} ${drivers} ${this.count} ${chip.up} ${chip.down}`;
    let firm = this.drivers.length > 32 ? undefined : this.known.get(key); // more would not fit into the number
    if (!firm) {
      firm = this.evaluate();
      if (this.known.size > 5000) this.known.clear();
      this.known.set(key, firm);
    }
    this.firm = firm;
    const level = firm.slice();
    for (let n = 0; n < level.length; n++) if (level[n] === NONE) level[n] = n < this.level.length ? this.level[n] : LOW;
    return level;
  }

  evaluate() {
    const { chip } = this;
    const hard = new Int8Array(this.count).fill(NONE);
    const put = (n, level) => {
      if (hard[n] !== NONE && hard[n] !== level) this.lint("two outputs against each other");
      if (hard[n] !== LOW) hard[n] = level;
    };
    for (let p = 0; p < PINS; p++) if (chip.oe >>> p & 1) put(p, chip.out >>> p & 1);
    for (const d of this.drivers) if (d.level !== NONE && !d.weak) put(d.node, d.level);
    const level = hard.slice();
    const fixed = hard;
    for (const value of [LOW, HIGH]) {
      const queue = [];
      for (let n = 0; n < this.count; n++) if (level[n] === value && (value === LOW || fixed[n] === HIGH)) queue.push(n);
      this.spread(queue, value, level, fixed);
    }
    // pull-ups are of the chip or of parts; a pull-down counts where no pull-up reaches
    for (const value of [HIGH, LOW]) {
      const pull = value === HIGH ? chip.up : chip.down;
      const queue = [];
      for (let p = 0; p < PINS; p++) if (pull >>> p & 1 && level[p] === NONE) queue.push(p);
      for (const d of this.drivers) if (d.weak && d.level === value && level[d.node] === NONE) queue.push(d.node);
      for (const n of queue) level[n] = value;
      this.spread(queue, value, level, new Int8Array(this.count).fill(NONE));
    }
    return level;
  }

  update() {
    for (let round = 0; ; round++) {
      this.level = this.levels();
      let again = false;
      for (const p of this.parts) if (p.see(this.level)) again = true;
      if (!again) break;
      if (round > 20) throw new Error("the parts do not settle");
    }
    let bits = 0;
    for (let p = 0; p < PINS; p++) if (this.level[p] === HIGH) bits |= 1 << p;
    this.bits = (bits & this.chip.input) >>> 0;
  }

  at(name) {
    const n = this.node(name);
    if (n >= this.level.length) this.update();
    return this.firm[n] !== NONE ? String(this.level[n]) : "z";
  }
}

// A chain of 74HC165: load low takes the inputs in, each rising clock shifts.
class Chain {
  constructor(nets, load, clock, data, bits) {
    this.load = nets.node(load);
    this.clock = nets.node(clock);
    this.inputs = new Uint8Array(bits).fill(1);
    this.shift = this.inputs.slice();
    this.was = LOW;
    this.out = nets.drive(data, HIGH);
  }

  set(k, v) {
    if (!(k >= 0 && k < this.inputs.length)) throw new Error(`the chain has no bit ${k}`);
    this.inputs[k] = v;
  }

  see(level) {
    const clock = level[this.clock];
    if (level[this.load] === LOW) this.shift = this.inputs.slice();
    else if (clock === HIGH && this.was === LOW) {
      this.shift.copyWithin(0, 1);
      this.shift[this.shift.length - 1] = 0;
    }
    this.was = clock;
    const before = this.out.level;
    this.out.level = this.shift[0];
    return this.out.level !== before;
  }
}

// 16 lines on I2C with the registers of an MCP23017 (IOCON.BANK = 0), on the wires themselves.
class Expander {
  constructor(nets, sda, scl, address, lint) {
    this.lint = lint;
    this.sda = nets.node(sda);
    this.scl = nets.node(scl);
    this.address = address;
    nets.drive(this.sda, HIGH, true);
    nets.drive(this.scl, HIGH, true);
    this.pull = nets.drive(this.sda, NONE);
    this.regs = new Uint8Array(0x16);
    this.regs[0] = this.regs[1] = 0xFF;
    this.lines = new Array(16).fill(NONE);
    this.absent = false;
    this.last = { sda: HIGH, scl: HIGH };
    this.state = "idle";
  }

  lineLevels() {
    let v = 0;
    for (let k = 0; k < 16; k++) {
      const reg = k >> 3, bit = k & 7;
      const input = this.regs[0x00 + reg] >> bit & 1;
      const pulled = this.regs[0x0C + reg] >> bit & 1;
      const level = input ? (this.lines[k] !== NONE ? this.lines[k] : pulled) : this.regs[0x14 + reg] >> bit & 1;
      v |= level << k;
    }
    return v;
  }

  read() {
    const r = this.pointer;
    this.pointer = (this.pointer + 1) % 0x16;
    if (r === 0x12 || r === 0x13) return this.lineLevels() >> (r === 0x13 ? 8 : 0) & 0xFF;
    return this.regs[r];
  }

  write(v) {
    let r = this.pointer;
    this.pointer = (this.pointer + 1) % 0x16;
    if (r === 0x12 || r === 0x13) r += 2;
    this.regs[r] = v;
  }

  see(level) {
    const sda = level[this.sda], scl = level[this.scl], { last } = this;
    const before = this.pull.level;
    if (this.absent) {
      this.state = "idle";
      this.pull.level = NONE;
    } else if (scl === HIGH && last.scl === HIGH && sda !== last.sda) {
      this.pull.level = NONE;
      this.state = sda === LOW ? "address" : "idle";
      this.bits = 0;
      this.shift = 0;
    } else if (scl === HIGH && last.scl === LOW) this.rise(sda);
    else if (scl === LOW && last.scl === HIGH) this.fall();
    this.last = { sda, scl };
    return this.pull.level !== before;
  }

  rise(sda) {
    if (this.state === "read") {
      if (this.bits === 8) this.more = sda === LOW;
      this.bits++;
    } else if (this.state !== "idle") {
      if (this.bits < 8) this.shift = this.shift << 1 | sda;
      this.bits++;
    }
  }

  fall() {
    if (this.state === "idle" || this.bits === 0) return;
    if (this.state === "read") {
      if (this.bits < 8) this.bit();
      else if (this.bits === 8) this.pull.level = NONE;
      else if (this.more) this.begin();
      else {
        this.state = "idle";
        this.pull.level = NONE;
      }
      return;
    }
    if (this.bits === 8) {
      if (this.state === "address" && this.shift >> 1 !== this.address) {
        this.state = "idle";
        return;
      }
      this.pull.level = LOW;
    } else if (this.bits === 9) {
      this.pull.level = NONE;
      const byte = this.shift;
      this.bits = this.shift = 0;
      if (this.state === "address") {
        this.state = byte & 1 ? "read" : "register";
        if (byte & 1) this.begin();
      } else if (this.state === "register") {
        this.pointer = byte % 0x16;
        this.state = "write";
      } else this.write(byte);
    }
  }

  begin() {
    this.byte = this.read();
    this.bits = 0;
    this.bit();
  }

  bit() {
    this.pull.level = this.byte >> (7 - this.bits) & 1 ? NONE : LOW;
  }
}

// A 74HC4051 on an analog channel. What is read within 3 us of a step is half of the old voltage: the input has to charge.
class Mux {
  constructor(nets, channel, selects, now) {
    this.channel = channel;
    this.selects = selects.map((s) => nets.node(s));
    this.mv = new Array(8).fill(0);
    this.now = now;
    this.line = this.before = 0;
    this.since = -1e9;
  }

  see(level) {
    let line = 0;
    this.selects.forEach((n, i) => { if (level[n] === HIGH) line |= 1 << i; });
    if (line !== this.line) {
      this.before = this.line;
      this.line = line;
      this.since = this.now();
    }
    return false;
  }

  voltage() {
    const v = this.mv[this.line];
    return this.now() - this.since < 3000 ? (v + this.mv[this.before]) / 2 : v;
  }
}

module.exports = { LOW, HIGH, NONE, PINS, Nets, Chain, Expander, Mux };
