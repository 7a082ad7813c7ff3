/**
 * Panels that the browser talks to: through WebHID where it is, through gamepads elsewhere. Reports are read by what the device says of
 * them, so that a panel with other firmware is read too.
 */
import type { BenchData, BenchMoved, BenchReport, BenchRow } from './types'

/** What WebHID gives; only what is used here. Source: WICG, WebHID API. */
interface Item { isArray?: boolean; isConstant?: boolean; isRange?: boolean; usages?: number[]; usageMinimum?: number; usageMaximum?: number; reportSize?: number; reportCount?: number; logicalMinimum?: number; logicalMaximum?: number }
interface Report { reportId?: number; items?: Item[] }
interface Collection { usagePage?: number; usage?: number; children?: Collection[]; inputReports?: Report[]; outputReports?: Report[]; featureReports?: Report[] }
export interface Device extends EventTarget {
  opened: boolean
  vendorId: number
  productId: number
  productName: string
  collections: Collection[]
  open(): Promise<void>
  close(): Promise<void>
  receiveFeatureReport(id: number): Promise<DataView>
  sendReport(id: number, data: BufferSource): Promise<void>
  oninputreport: ((e: { reportId: number; data: DataView }) => void) | null
}
interface HID extends EventTarget {
  getDevices(): Promise<Device[]>
  requestDevice(o: { filters: object[] }): Promise<Device[]>
  ondisconnect?: ((e: { device: Device }) => void) | null
}
const hid = (): HID | undefined => (navigator as unknown as { hid?: HID }).hid

export const hasHID = () => hid() !== undefined
export const hasPads = () => typeof navigator.getGamepads === 'function'

/** What could not be done, as a sentence; rule is a udev rule that may help. */
export class Trouble extends Error {
  constructor(say: string, readonly rule = '') {
    super(say)
  }
}

/** A control of a report: where it lies and what its values mean. */
interface Field { report: number; bit: number; size: number; usage: number; low: number; high: number }
/** Controls that a report lists by number. */
interface Listed { report: number; bit: number; size: number; count: number; usages: number[]; first: number; low: number }

export interface Layout { fields: Map<number, Field[]>; lists: Listed[] }

const inner = (c: Collection): Report[] => (c.inputReports?.length ? c.inputReports : (c.children ?? []).flatMap(inner))

/** Reads where each control of a device lies. */
export function layout(collections: Collection[]): Layout {
  const out: Layout = { fields: new Map(), lists: [] }
  const at = new Map<number, number>()
  for (const r of collections.flatMap(inner)) {
    const report = r.reportId ?? 0
    for (const i of r.items ?? []) {
      const size = i.reportSize ?? 0
      const count = i.reportCount ?? 0
      const bit = at.get(report) ?? 0
      at.set(report, bit + size * count)
      if (i.isConstant || !size) continue
      const usage = (k: number) => (i.isRange ? Math.min((i.usageMinimum ?? 0) + k, i.usageMaximum ?? 0) : (i.usages?.[Math.min(k, i.usages.length - 1)] ?? 0))
      if (i.isArray) {
        out.lists.push({ report, bit, size, count, usages: i.isRange ? [] : (i.usages ?? []), first: i.usageMinimum ?? 0, low: i.logicalMinimum ?? 0 })
        continue
      }
      for (let k = 0; k < Math.min(count, 4096); k++) {
        const f = { report, bit: bit + k * size, size, usage: usage(k), low: i.logicalMinimum ?? 0, high: i.logicalMaximum ?? 1 }
        out.fields.set(f.usage, [...(out.fields.get(f.usage) ?? []), f])
      }
    }
  }
  return out
}

/** The value of some bits; NaN where the report is too short. */
export function bits(d: DataView, bit: number, size: number, signed: boolean): number {
  let v = 0
  for (let i = 0; i < size; i++) {
    const byte = (bit + i) >> 3
    if (byte >= d.byteLength) return NaN
    if ((d.getUint8(byte) >> ((bit + i) & 7)) & 1) v += 2 ** i
  }
  return signed && size > 0 && v >= 2 ** (size - 1) ? v - 2 ** size : v
}

const hatUsage = 0x00010039

/** How the lines of the mapping stand. */
export class Standing {
  rows: BenchMoved[] = []
  /** lines that the device has a place for */
  known = new Set<number>()
  constructor(readonly mapping: BenchRow[]) {}

  set(row: number, on: boolean, part: number): boolean {
    const r = this.rows.find((x) => x.row === row)
    if (r && r.on === on && r.part === part) return false
    this.rows = [...this.rows.filter((x) => x.row !== row), { row, on, part }]
    return true
  }

  /** Takes a report; true when a line moved. A report that does not fit gives null. */
  take(l: Layout, report: number, d: DataView): boolean | null {
    let moved = false
    const seen = new Map<number, number>()
    for (let i = 0; i < this.mapping.length; i++) {
      const m = this.mapping[i]
      if (m.lamp || !m.usage) continue
      const n = m.axis ? (seen.get(m.usage) ?? 0) : 0
      if (m.axis) seen.set(m.usage, n + 1)
      const f = l.fields.get(m.usage)?.[n]
      if (f) {
        if (f.report !== report) continue
        const v = bits(d, f.bit, f.size, f.low < 0)
        if (Number.isNaN(v)) return null
        if (m.axis) moved = this.set(i, false, f.high > f.low ? Math.min(Math.max((v - f.low) / (f.high - f.low), 0), 1) : 0) || moved
        else if (m.usage === hatUsage) moved = this.set(i, v >= f.low && v <= f.high && [0, 1, 7].includes((v - f.low - m.hat + 8) % 8), 0) || moved
        else moved = this.set(i, v !== 0, 0) || moved
        continue
      }
      const list = l.lists.find((x) => x.report === report && (x.usages.includes(m.usage) || (!x.usages.length && m.usage >= x.first)))
      if (!list) continue
      let on = false
      for (let k = 0; k < list.count; k++) {
        const v = bits(d, list.bit + k * list.size, list.size, false)
        if (Number.isNaN(v)) return null
        const u = list.usages.length ? list.usages[v - list.low] : list.first + (v - list.low)
        on ||= u === m.usage && v !== 0
      }
      moved = this.set(i, on, 0) || moved
    }
    return moved
  }

  /** How many lines of the mapping a device has a place for. */
  fits(l: Layout): [number, number] {
    let known = 0
    let all = 0
    for (const m of this.mapping) {
      if (m.lamp || !m.usage) continue
      all++
      if (l.fields.has(m.usage) || l.lists.some((x) => x.usages.includes(m.usage) || (!x.usages.length && m.usage >= x.first))) known++
    }
    return [known, all]
  }
}

/** The bytes of an output report: those of its items. */
export function room(collections: Collection[], report: number): number {
  const all = (c: Collection): Report[] => [...(c.outputReports ?? []), ...(c.children ?? []).flatMap(all)]
  let most = 0
  for (const r of collections.flatMap(all)) {
    if ((r.reportId ?? 0) === report) most = Math.max(most, (r.items ?? []).reduce((n, i) => n + (i.reportSize ?? 0) * (i.reportCount ?? 0), 0))
  }
  return Math.ceil(most / 8)
}

/** A panel that is read. */
export interface Panel {
  /** Tells a lamp to be lit or dark; false where that cannot be told from here. */
  light(row: BenchRow, on: boolean): Promise<boolean>
  name: string
  table: number
  /** reports that made no sense */
  bad: number
  now(): BenchReport
  close(): void
}

interface Told { change(): void; gone(say: string): void }

const feature = (d: Device, id: number) => d.collections.some((c) => c.featureReports?.some((r) => r.reportId === id))

/** Where the body of a feature report begins: some browsers give its number first, some do not. */
const body = (d: DataView, id: number) => (d.byteLength > 0 && d.getUint8(0) === id ? 1 : 0)

const rule = (vendor: number, product: number) => {
  const hex = (n: number) => n.toString(16).padStart(4, '0')
  return `# /etc/udev/rules.d/70-panel.rules\n# Whoever sits at this computer may talk to the panel.\nKERNEL=="hidraw*", ATTRS{idVendor}=="${hex(vendor)}", ATTRS{idProduct}=="${hex(product)}", TAG+="uaccess"\n`
}

/** Lets the person choose a panel, and reads it. */
export async function connect(data: BenchData, told: Told): Promise<Panel> {
  const h = hid()
  if (!h) throw new Trouble('This browser has no WebHID. Chromium and its relatives have it; here the panel can be read as a gamepad, without its raw contacts.')
  let chosen: Device[]
  try {
    chosen = await h.requestDevice({ filters: [{ vendorId: data.vendor, productId: data.product }, { usagePage: 1, usage: 4 }, { usagePage: 1, usage: 5 }] })
  } catch {
    throw new Trouble('The browser did not let the page ask for a panel. Press the button again.')
  }
  if (!chosen.length) throw new Trouble('No panel was chosen.')
  const first = chosen[0]
  // a panel of ours is two interfaces, which some systems give as two devices
  const same = (await h.getDevices()).filter((d) => d.vendorId === first.vendorId && d.productId === first.productId && d.productName === first.productName)
  const devices = [...new Set([...chosen, ...same])]
  const sends = devices.filter((d) => d.collections.some((c) => inner(c).length > 0 && c.usagePage !== 0xff00))
  if (sends.length > 1) throw new Trouble('Two panels of this kind are plugged in, and a browser is not told their serials. Unplug one of them; knobwright bench --serial tells them apart.')
  for (const d of devices) {
    try {
      if (!d.opened) await d.open()
    } catch {
      throw new Trouble(`The system does not let the browser at ${d.productName || 'the panel'}. On Linux these lines as a udev rule help; nothing was installed.`, rule(d.vendorId, d.productId))
    }
  }
  const standing = new Standing(data.rows)
  const device = sends[0] ?? first
  const where = layout(device.collections)
  const bench = devices.find((d) => feature(d, 0xf0) && feature(d, 0xf1))
  const [known, all] = standing.fits(where)
  if (!bench && known * 3 < all * 2) {
    for (const d of devices) void d.close()
    throw new Trouble(`${device.productName || 'This device'} is a stranger to this file: it has a place for ${known} of the ${all} things that the file sends.`)
  }
  const begun = performance.now()
  let raw: number[] | undefined
  let alive = true
  let bad = 0
  let table = 0
  const end = (say: string) => {
    if (!alive) return
    alive = false
    told.gone(say)
  }
  device.oninputreport = (e) => {
    const moved = standing.take(where, e.reportId, e.data)
    if (moved === null) bad++
    else if (moved) told.change()
  }
  const out = () => end('The panel was unplugged. What was tested so far is kept; plug it in and go on with the lines that are open.')
  const lost = (e: Event) => devices.includes((e as unknown as { device: Device }).device) && out()
  h.addEventListener('disconnect', lost)
  if (bench) {
    try {
      const d = await bench.receiveFeatureReport(0xf0)
      const o = body(d, 0xf0)
      if (d.byteLength >= o + 14 && d.getUint8(o) === 0x4b && d.getUint8(o + 1) === 0x57) table = d.getUint32(o + 10, true)
    } catch {
      /* then it tells no table */
    }
    const look = async () => {
      if (!alive) return
      try {
        const d = await bench.receiveFeatureReport(0xf1)
        const o = body(d, 0xf1)
        const next = Array.from({ length: d.byteLength - o }, (_, i) => d.getUint8(o + i))
        if (!raw || next.length !== raw.length || next.some((v, i) => v !== raw![i])) {
          raw = next
          told.change()
        }
        setTimeout(look, 4)
      } catch {
        setTimeout(look, 250) // gone, or busy: the browser says when it is gone
      }
    }
    void look()
  }
  return {
    name: device.productName || 'the panel',
    table,
    get bad() {
      return bad
    },
    now: () => ({ at: performance.now() - begun, raw, rows: standing.rows }),
    async light(row, on) {
      const d = devices.find((x) => row.report > 0 && room(x.collections, row.report) > row.bit >> 3)
      if (!d) return false
      const body = new Uint8Array(room(d.collections, row.report))
      if (on) body[row.bit >> 3] |= 1 << (row.bit & 7)
      try {
        await d.sendReport(row.report, body)
        return true
      } catch {
        return false
      }
    },
    close() {
      alive = false
      h.removeEventListener('disconnect', lost)
      for (const d of devices) {
        d.oninputreport = null
        void d.close()
      }
    },
  }
}

/** Reads the panel as a gamepad: buttons in order, axes in the order of their usages. */
export function gamepad(data: BenchData, told: Told): Panel {
  if (!hasPads()) throw new Trouble('This browser can read neither HID devices nor gamepads. Take another one, or knobwright bench on the command line.')
  const pads = () => navigator.getGamepads().filter((p): p is Gamepad => p !== null && p.connected)
  if (!pads().length) throw new Trouble('The browser sees no gamepad. Press any button on the panel, then try again: it is shown only after that.')
  if (pads().length > 1) throw new Trouble('Several gamepads are plugged in, and this page cannot tell them apart. Unplug the others.')
  const index = pads()[0].index
  const standing = new Standing(data.rows)
  const axes = data.rows.map((r, i) => ({ r, i })).filter((x) => x.r.axis && !x.r.lamp).sort((a, b) => a.r.usage - b.r.usage)
  const begun = performance.now()
  let alive = true
  const look = () => {
    if (!alive) return
    const p = navigator.getGamepads()[index]
    if (!p) {
      alive = false
      told.gone('The panel was unplugged. What was tested so far is kept; plug it in and go on with the lines that are open.')
      return
    }
    let moved = false
    data.rows.forEach((r, i) => {
      if (r.lamp || r.usage >> 16 !== 9) return
      const b = p.buttons[(r.usage & 0xffff) - 1]
      if (b) moved = standing.set(i, b.pressed, 0) || moved
    })
    axes.forEach((x, k) => {
      if (k < p.axes.length) moved = standing.set(x.i, false, Math.round(((p.axes[k] + 1) / 2) * 4096) / 4096) || moved
    })
    if (moved) told.change()
    requestAnimationFrame(look)
  }
  requestAnimationFrame(look)
  return { name: pads()[0].id, table: 0, bad: 0, now: () => ({ at: performance.now() - begun, rows: standing.rows }), light: () => Promise.resolve(false), close: () => void (alive = false) }
}
