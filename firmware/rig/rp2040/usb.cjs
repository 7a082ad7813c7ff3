// The USB device controller of the RP2040, token by token, and the host at its other end. It works on the emulator's registers and on the
// controller's memory, in place of the emulator's own device model, which knows no NAK, no STALL, no address and no toggles. Source: RP2040
// data sheet, 4.1; USB 2.0, chapter 8.
"use strict";

const FULL = 1 << 15, DATA1 = 1 << 13, STALL = 1 << 11, AVAILABLE = 1 << 10, LENGTH = 0x3FF;
const SUSPENDED = 1 << 4, RESUME = 1 << 11, SETUP = 1 << 17, RESET = 1 << 19;
const PULLUP = 1 << 16, SIE_RESUME = 1 << 12, EP0_INT = 1 << 29;
const BIT_NS = 1000 / 12;

class USB {
  // machine: {mcu, run(ns), now()}
  constructor(machine, lint) {
    this.m = machine;
    this.lint = lint;
    this.frame = 0;
    this.sof = true;
    this.asleep = false;
    this.woken = false;
    this.lasting = false; // whether the sign of sleep stands as long as the bus sleeps, or until it is cleared
    this.forget();
  }

  forget() { // what the host knows
    this.address = 0;
    this.pid = { in: new Uint8Array(16), out: new Uint8Array(16) };
  }

  // begin takes a fresh chip.
  begin() {
    const { mcu } = this.m;
    const c = (this.c = mcu.usbCtrl);
    this.shadow = new Uint32Array(1024);
    this.written = new Float64Array(1024);
    this.old = new Uint8Array(32); // buffers that were given before the last setup packet
    this.asleep = false;
    this.woken = false;
    c.DPRAMUpdated = (offset) => this.onRAM(offset);
    const write = c.writeUint32.bind(c);
    c.writeUint32 = (offset, value) => {
      if (offset === 0x50 && c.rawWriteValue & SUSPENDED && !(this.lasting && this.asleep)) c.sieStatus &= ~SUSPENDED;
      if (offset === 0x4C && value & SIE_RESUME) {
        this.onResume();
        value &= ~SIE_RESUME;
      }
      if (offset === 0x40 && value & 1) this.onEnable();
      if (offset === 0x60) { // abort: done once no packet is under way, and here none is
        c.epAbort = value;
        c.epAbortDone |= value;
        return;
      }
      write(offset, value);
    };
    this.alarm = mcu.clock.createAlarm(() => this.onFrame());
    this.alarm.schedule(1e6);
  }

  onFrame() {
    this.alarm.schedule(1e6);
    if (!this.sof || this.asleep || this.resetting || !this.attached()) return;
    this.frame = (this.frame + 1) & 0x7FF;
    this.c.sofFrameNumber = this.frame;
  }

  onEnable() {
    const { mcu } = this.m;
    if (Math.round(mcu.pllUsb.frequency) !== 48e6) this.lint("the USB clock is not 48 MHz");
    if (!(mcu.clocks.usbCtrl & 1 << 11)) this.lint("the USB clock is off");
    if (mcu.clkSys < 48e6) this.lint("the system clock is slower than USB");
  }

  onResume() {
    if (!this.asleep) return this.lint("wakes a bus that does not sleep");
    if (this.m.now() - this.since < 5e6) this.lint("wakes the bus within 5 ms of its falling asleep");
    this.woken = true;
  }

  attached() { return (this.c.sieCtrl & PULLUP) !== 0 && (this.c.mainCtrl & 1) !== 0; }

  word(offset) { return this.m.mcu.usbDPRAMView.getUint32(offset, true); }
  put(offset, value) {
    this.m.mcu.usbDPRAMView.setUint32(offset, value, true);
    this.shadow[offset >> 2] = value;
  }
  control(n, dir) { return 0x80 + 8 * n + (dir === "in" ? 0 : 4); }
  place(n, dir) { return n === 0 ? 0x100 : this.word(8 * n + (dir === "in" ? 0 : 4)) & 0xFFC0; }
  open(n, dir) { return n === 0 || (this.word(8 * n + (dir === "in" ? 0 : 4)) >>> 31) === 1; }

  // onRAM sees each write of the processor to the controller's memory.
  onRAM(offset) {
    offset &= ~3;
    const value = this.word(offset), was = this.shadow[offset >> 2];
    if (offset >= 0x80 && offset < 0x100) {
      const k = (offset - 0x80) >> 2, n = k >> 1, dir = k & 1 ? "out" : "in";
      if (value & AVAILABLE) {
        if (was & AVAILABLE) this.lint(`buffer ${n} ${dir} is given twice`);
        else if ((was | AVAILABLE) !== value) this.lint(`buffer ${n} ${dir}: AVAILABLE is written together with the rest`);
        else if (this.m.now() - this.written[offset >> 2] < 1000 / 48) this.lint(`buffer ${n} ${dir}: AVAILABLE is written within a cycle of 48 MHz`);
        if (n > 0 && !this.open(n, dir)) this.lint(`buffer ${n} ${dir} is given, but the endpoint is off`);
        if (dir === "in" && !(value & FULL)) this.lint(`buffer ${n} in is given empty-handed`);
        if (dir === "out" && value & FULL) this.lint(`buffer ${n} out is given full`);
        if (this.place(n, dir) < 0x100 || this.place(n, dir) + (value & LENGTH) > 4096) this.lint(`buffer ${n} ${dir} lies outside`);
        if ((value & LENGTH) > 64) this.lint(`buffer ${n} ${dir} is longer than 64`);
        this.old[k] = 0;
      } else if (was & AVAILABLE && n > 0 && this.c.mainCtrl & 1 && !(this.c.epAbort >>> k & 1) && !(value & STALL)) {
        this.lint(`buffer ${n} ${dir} is taken back without asking`);
      }
    } else if (offset >= 0x100) {
      for (let n = 0; n < 16; n++) {
        const v = this.shadow[0x20 + 2 * n];
        if (v & AVAILABLE && offset + 4 > this.place(n, "in") && offset < this.place(n, "in") + (v & LENGTH)) this.lint(`buffer ${n} in is written while it is given`);
      }
    }
    this.shadow[offset >> 2] = value;
    this.written[offset >> 2] = this.m.now();
  }

  // take does a token's part: the time that it needs on the bus.
  bits(n) { this.m.run(n * BIT_NS); }

  done(n, dir) {
    if (n === 0 ? this.c.sieCtrl & EP0_INT : this.word(8 * n + (dir === "in" ? 0 : 4)) & 1 << 29) this.c.indicateBufferReady(n, dir === "out");
    else this.lint(`endpoint ${n} ${dir} says nothing when its buffer is done`);
  }

  listens() { return this.attached() && !this.asleep && (this.c.addrEndp & 0x7F) === this.address; }

  setup(bytes) {
    this.bits(32 + 88);
    if (!this.listens()) return "timeout";
    if (bytes.length !== 8) throw new Error("a setup packet has 8 bytes");
    this.m.mcu.usbDPRAM.set(bytes, 0);
    this.c.epStallArm &= ~3;
    for (const k of [0, 1]) this.old[k] = this.shadow[0x20 + k] & AVAILABLE ? 1 : 0;
    this.c.sieStatus |= SETUP;
    this.c.sieStatusUpdated();
    this.pid.in[0] = this.pid.out[0] = 1;
    this.bits(16);
    return "ack";
  }

  in(n) {
    this.bits(32 + 8);
    if (!this.listens() || !this.open(n, "in")) return { what: "timeout" };
    const at = this.control(n, "in"), v = this.word(at);
    if (v & STALL && (n > 0 || this.c.epStallArm & 1)) {
      this.bits(16);
      return { what: "stall" };
    }
    if (!(v & AVAILABLE) || !(v & FULL)) {
      this.bits(16);
      return { what: "nak" };
    }
    if (n === 0 && this.old[0]) this.lint("endpoint 0 sends what was given before the last setup packet");
    const from = this.place(n, "in"), data = this.m.mcu.usbDPRAM.slice(from, from + (v & LENGTH));
    this.bits(8 * data.length + 35 + 16);
    const pid = v & DATA1 ? 1 : 0;
    if (this.word(at) !== v) this.lint(`buffer ${n} in changed while it was sent`);
    this.put(at, v & ~(AVAILABLE | FULL));
    this.done(n, "in");
    if (pid !== this.pid.in[n]) { // a host takes it for a repetition
      this.lint(`endpoint ${n} in has the wrong toggle`);
      return { what: "nak" };
    }
    this.pid.in[n] ^= 1;
    return { what: "data", data };
  }

  out(n, data) {
    this.bits(32 + 35 + 8 * data.length);
    if (!this.listens() || !this.open(n, "out")) return "timeout";
    const at = this.control(n, "out"), v = this.word(at);
    this.bits(16);
    if (v & STALL && (n > 0 || this.c.epStallArm & 2)) return "stall";
    if (!(v & AVAILABLE)) return "nak";
    if (n === 0 && this.old[1]) this.lint("endpoint 0 takes with what was given before the last setup packet");
    const pid = v & DATA1 ? 1 : 0;
    if (pid !== this.pid.out[n]) {
      this.lint(`endpoint ${n} out expects the wrong toggle`);
      this.pid.out[n] ^= 1;
      return "ack";
    }
    if (data.length > (v & LENGTH)) this.lint(`endpoint ${n} out has room for ${v & LENGTH} of ${data.length} bytes`);
    const took = data.slice(0, v & LENGTH);
    this.m.mcu.usbDPRAM.set(took, this.place(n, "out"));
    this.put(at, ((v & ~(AVAILABLE | LENGTH)) | FULL | took.length) >>> 0);
    this.done(n, "out");
    this.pid.out[n] ^= 1;
    return "ack";
  }

  // retry repeats a token while it is NAKed, for at most 500 ms.
  retry(token) {
    const end = this.m.now() + 500e6;
    for (;;) {
      const r = token();
      const what = typeof r === "string" ? r : r.what;
      if (what !== "nak") return r;
      if (this.m.now() > end) return typeof r === "string" ? "timeout" : { what: "timeout" };
      this.m.run(20e3);
    }
  }

  // transfer does a whole control transfer.
  transfer(s, data) {
    const first = this.setup(s);
    if (first !== "ack") return first;
    const length = s[6] | s[7] << 8;
    if (s[0] & 0x80 && length > 0) {
      const got = [];
      for (;;) {
        const r = this.retry(() => this.in(0));
        if (r.what !== "data") return r.what;
        got.push(...r.data);
        if (r.data.length < 64 || got.length >= length) break;
      }
      if (got.length > length) this.lint("more data than the host asked for");
      this.pid.out[0] = 1;
      const r = this.retry(() => this.out(0, new Uint8Array(0)));
      if (r !== "ack") return r;
      return "data " + Buffer.from(got).toString("hex").toUpperCase();
    }
    for (let at = 0; at < data.length; at += 64) {
      const r = this.retry(() => this.out(0, data.slice(at, at + 64)));
      if (r !== "ack") return r;
    }
    this.pid.in[0] = 1;
    const r = this.retry(() => this.in(0));
    if (r.what !== "data") return r.what;
    if (r.data.length !== 0) this.lint("the status stage has data");
    this.note(s);
    return "ack";
  }

  // note follows what the host knows of toggles.
  note(s) {
    if ((s[0] === 0x00 && s[1] === 9) || (s[0] === 0x01 && s[1] === 11)) this.clear();
    if (s[0] === 0x00 && s[1] === 5) this.m.run(2e6); // a new address has 2 ms to come into force: USB 2.0, 9.2.6.3
    if (s[0] === 0x02 && s[1] === 1) this.pid[s[4] & 0x80 ? "in" : "out"][s[4] & 15] = 0;
  }

  clear() {
    this.pid.in.fill(0);
    this.pid.out.fill(0);
  }

  reset() {
    if (!this.attached()) return;
    this.resetting = true;
    this.asleep = false;
    this.forget();
    this.m.run(3e3);
    this.c.sieStatus |= RESET;
    this.c.sieStatusUpdated();
    this.m.run(10e6);
    this.resetting = false;
    this.m.run(10e6);
  }

  suspend() {
    this.m.run(10e3);
    this.asleep = true;
    this.since = this.m.now();
    this.m.run(3e6);
    this.c.sieStatus |= SUSPENDED;
    this.c.sieStatusUpdated();
    this.m.run(100e3);
  }

  resume() {
    if (!this.asleep) return;
    this.c.sieStatus |= RESUME;
    this.c.sieStatusUpdated();
    this.m.run(20e6);
    this.asleep = false;
    if (this.lasting) this.c.sieStatus &= ~SUSPENDED;
    this.c.sieStatusUpdated();
    this.m.run(3e6);
  }
}

module.exports = { USB };
