// Walks through the Bench sheet with a real browser: node test/walk-bench.mjs KNOBWRIGHT EXAMPLE.yaml [FOLDER for pictures] [FOLDER of a built page]
import axe from 'axe-core'
import { spawn } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium } from 'playwright-core'

const [tool, example, pictures, built] = process.argv.slice(2)
const browser = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync)
if (!browser) {
  console.log('SKIPPED: no Chromium on this machine')
  process.exit(0)
}
const file = join(mkdtempSync(join(tmpdir(), 'walk-')), 'panel.yaml')
// one of its lamps is lit by the computer here
writeFileSync(file, readFileSync(example, 'utf8').replace('sends: steady', 'sends: host 1'))
const record = file.replace('.yaml', '.record.yaml')
const original = readFileSync(file, 'utf8')
const server = spawn(tool, ['open', '--stay', ...(built ? ['--page', built] : []), file])
const link = await new Promise((done, fail) => {
  server.stdout.on('data', (d) => {
    const m = /http:\S+/.exec(String(d))
    if (m) done(m[0])
  })
  server.on('exit', () => fail(new Error('the program ended')))
})
const chrome = await chromium.launch({ executablePath: browser, args: ['--no-sandbox'] })
const context = await chrome.newContext({ viewport: { width: 1440, height: 900 } })
let wrong = 0
const say = (ok, what) => {
  console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`)
  if (!ok) wrong++
}
let page
const open = async (init) => {
  page = await context.newPage()
  page.on('pageerror', (e) => say(false, 'the page broke: ' + e.message))
  page.on('console', (m) => m.type() === 'error' && !/status of 4(04|09|22)/.test(m.text()) && say(false, 'the console says: ' + m.text()))
  page.on('request', (r) => r.url().startsWith(new URL(link).origin) || /^(data|blob):/.test(r.url()) || say(false, 'asked outside: ' + r.url()))
  if (init) await page.addInitScript(init)
  await page.goto(link)
  await page.waitForSelector('.control')
  await page.getByRole('navigation').getByRole('button', { name: /Bench$/ }).click()
  await page.waitForSelector('.sheet-list li')
}
const until = async (what, test) => {
  for (let i = 0; i < 400; i++) {
    if (await test()) return say(true, what)
    await page.waitForTimeout(50)
  }
  say(false, what)
}
const picture = async (name) => pictures && (await page.screenshot({ path: join(pictures, name + '.png') }))
const button = (name) => page.getByRole('button', { name, exact: true })
const judge = async (what) => {
  await page.evaluate(axe.source)
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }))
  const serious = found.violations.filter((v) => ['serious', 'critical'].includes(v.impact))
  for (const v of serious) console.log('     ' + v.id, v.nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(' | '))
  say(serious.length === 0, `${what}: axe finds nothing serious`)
}

// 1. the simulated panel, sound, then with a fault
await open('delete Navigator.prototype.hid')
say((await page.locator('.sheet-list li').count()) > 30, 'the test sheet has its lines')
await picture('bench-empty')
await button('Try it with a simulated panel').click()
await page.waitForSelector('.ask')
await button('Do all that is open').click()
await until('a sound panel passes every line', async () => (await page.getByText('Everything is as it should be.').count()) === 1)
await picture('bench-right')
await button('Stop').click()
await page.locator('.sim select').selectOption('swapped rain.no thunder.no')
await button('Try it with a simulated panel').click()
await page.waitForSelector('.ask')
await page.locator('.control[data-name=thunder]').click()
await until('pressing THUNDER on the drawing is seen as RAIN', async () => (await page.locator('.saw').first().textContent().catch(() => ''))?.includes('in place of'))
await until('what is likely wrong is named, with its place', async () => (await page.locator('.cause').first().textContent().catch(() => ''))?.includes('exchanged'))
await until('the question that tells more is asked', async () => (await page.getByText('To tell them apart:').count()) + (await page.locator('.cause').count()) > 0)
await until('it has been shown', () => button('Do it').first().isEnabled())
await page.locator('.control[data-name=rain]').click()
await until('both buttons are marked', async () => (await page.locator('.control.bad').count()) === 2)
await page.locator('.what', { hasText: 'RAIN no' }).click()
await button('See the place from behind').click()
await until('the place is drawn on the rear view', async () => (await page.locator('.place').count()) > 0 && (await page.locator('.seen').textContent()).includes('REAR'))
await picture('bench-fault')
await judge('with a fault')
say(!existsSync(record), 'a simulated panel leaves no ticks')
await button('Leave it as it is').first().click()
await until('leaving it as it is goes into the record', async () => existsSync(record) && readFileSync(record, 'utf8').includes('kind: wiring'))
say(readFileSync(file, 'utf8') === original, 'the panel file is as it was')
await until('the page says what is built otherwise', async () => (await page.getByText('As built, otherwise than drawn').count()) === 1)
await page.close()

// 2. a panel through WebHID: the browser's interface stands for the device
const mock = (more = '') => `(() => {
  const items = window.__items
  const device = {
    opened: false, vendorId: 0x1209, productId: 1, productName: 'Cue desk', oninputreport: null,
    collections: [], async open() { ${more} this.opened = true }, async close() { this.opened = false },
    async sendReport(id, data) { window.__sent.push([id, ...new Uint8Array(data)]) },
    async receiveFeatureReport(id) {
      const h = window.__panel
      if (id === 0xf0) return new DataView(Uint8Array.from([0xf0, 0x4b, 0x57, 0, 1, 1, 1, 0, 0, 0, 0, ...h.crc, 32, 0, 0, 0, 0, 0]).buffer)
      return new DataView(Uint8Array.from([0xf1, ...h.raw]).buffer)
    },
  }
  const buttons = { reportId: 1, items: [
    { isRange: true, usageMinimum: 0x90001, usageMaximum: 0x90018, reportSize: 1, reportCount: 24, logicalMinimum: 0, logicalMaximum: 1 },
    { usages: [0x10030, 0x10031, 0x10032, 0x10033, 0x10034, 0x10035, 0x10036], reportSize: 16, reportCount: 7, logicalMinimum: 0, logicalMaximum: 4095 } ] }
  const lamps = { reportId: 5, items: [{ usages: [0x8004b], reportSize: 1, reportCount: 12, logicalMinimum: 0, logicalMaximum: 1 }, { isConstant: true, reportSize: 4, reportCount: 1 }] }
  device.collections = [{ usagePage: 1, usage: 4, inputReports: [buttons], children: [{ usagePage: 8, usage: 1, outputReports: [lamps] }] }, { usagePage: 0xff00, usage: 1, featureReports: [{ reportId: 0xf0 }, { reportId: 0xf1 }] }]
  window.__sent = []
  window.__panel = { device, raw: new Array(32).fill(0), crc: [0, 0, 0, 0], report: new Uint8Array(17) }
  const hid = new EventTarget()
  hid.getDevices = async () => [device]
  hid.requestDevice = async () => window.__none ? [] : [device]
  Object.defineProperty(Navigator.prototype, 'hid', { configurable: true, get: () => hid })
})()`
await open(mock())
const crc = await page.evaluate(async () => (await (await fetch('/api/bench')).json()).table)
const rows = await page.evaluate(async () => (await (await fetch('/api/bench')).json()).rows)
await page.evaluate((v) => (window.__panel.crc = [v & 255, (v >>> 8) & 255, (v >>> 16) & 255, (v >>> 24) & 255]), crc)
await button('Test the panel that is plugged in').click()
await page.waitForSelector('.ask')
say((await page.locator('.seen').textContent()).includes('Cue desk'), 'the page talks to the panel')
const bell = rows.find((r) => r.name === 'bell')
// the drawing within one frame of the report
const frames = await page.evaluate(async ({ usage }) => {
  const p = window.__panel
  const wait = () => new Promise((go) => requestAnimationFrame(() => go(performance.now())))
  const out = []
  for (let k = 0; k < 12; k++) {
    await wait()
    const bit = (usage & 0xffff) - 1
    p.report[bit >> 3] ^= 1 << (bit & 7)
    const from = performance.now()
    p.device.oninputreport({ reportId: 1, data: new DataView(p.report.buffer) })
    await Promise.resolve()
    const want = (p.report[bit >> 3] >> (bit & 7)) & 1
    await wait()
    out.push({ ok: document.querySelector('.control[data-name=bell]').classList.contains('lit') === Boolean(want), ms: performance.now() - from })
  }
  return out
}, { usage: bell.usage })
say(frames.every((f) => f.ok), `a report is on the drawing by the next frame, 12 of 12 (to that frame: middle ${frames.map((f) => f.ms).sort((a, b) => a - b)[6].toFixed(1)} ms)`)
// the line of BELL by a press with the raw contact
await page.locator('.sheet-list li button', { hasText: 'Press BELL' }).click()
await button('Pass over').isVisible()
await page.locator('.sheet-list li button', { hasText: 'Press BELL' }).click()
await page.evaluate(async ({ usage, raw }) => {
  const p = window.__panel
  const bit = (usage & 0xffff) - 1
  for (const on of [1, 0]) {
    await new Promise((go) => setTimeout(go, 120))
    p.raw[raw >> 3] = on ? p.raw[raw >> 3] | (1 << (raw & 7)) : p.raw[raw >> 3] & ~(1 << (raw & 7))
    p.report[bit >> 3] = on ? p.report[bit >> 3] | (1 << (bit & 7)) : p.report[bit >> 3] & ~(1 << (bit & 7))
    p.device.oninputreport({ reportId: 1, data: new DataView(p.report.buffer) })
  }
}, { usage: bell.usage, raw: bell.raw[0] })
await until('the press ticks its line by itself', async () => existsSync(record) && /line: bell\/press\s+said: right/.test(readFileSync(record, 'utf8')))
await picture('bench-hid')
// a lamp that the computer lights is told by its place in the report, when its line is in hand
const host = rows.find((r) => r.lamp && r.report > 0)
if (host) {
  await page.locator('.sheet-list li button', { hasText: `Look at ${host.label} while it is told to light` }).click()
  const want = JSON.stringify([host.report, ...[0, 1].map((b) => (host.bit >> 3 === b ? 1 << (host.bit & 7) : 0))])
  await until('a lamp that the computer lights is told to', () => page.evaluate((w) => JSON.stringify(window.__sent.at(-1)) === w, want))
  await page.locator('.sheet-list li button', { hasText: `Look at ${host.label} while it is told to be dark` }).click()
  await until('and to be dark', () => page.evaluate((id) => JSON.stringify(window.__sent.at(-1)) === JSON.stringify([id, 0, 0]), host.report))
} else say(false, 'no lamp of this panel is lit by the computer')
// free pressing counts
await button('Press freely').click()
const thunder = rows.find((r) => r.name === 'thunder')
await page.evaluate(async ({ usage, raw }) => {
  const p = window.__panel
  const bit = (usage & 0xffff) - 1
  for (const on of [1, 0]) {
    await new Promise((go) => setTimeout(go, 150))
    p.raw[raw >> 3] = on ? p.raw[raw >> 3] | (1 << (raw & 7)) : p.raw[raw >> 3] & ~(1 << (raw & 7))
    p.report[bit >> 3] = on ? p.report[bit >> 3] | (1 << (bit & 7)) : p.report[bit >> 3] & ~(1 << (bit & 7))
    p.device.oninputreport({ reportId: 1, data: new DataView(p.report.buffer) })
  }
}, { usage: thunder.usage, raw: thunder.raw[0] })
await until('pressed freely, a line is ticked too', async () => /line: thunder\/press\s+said: right/.test(readFileSync(record, 'utf8')))
await button('Ask me line by line').click()
await page.evaluate(() => window.__panel.device.oninputreport({ reportId: 1, data: new DataView(new ArrayBuffer(1)) }))
say((await page.locator('.ask').count()) === 1, 'a report that is too short is passed over')
await page.evaluate(() => {
  const e = new Event('disconnect')
  e.device = window.__panel.device
  navigator.hid.dispatchEvent(e)
})
await until('unplugged in mid-test: a sentence, and the ticks stay', async () => (await page.getByText('The panel was unplugged.').count()) === 1)
await judge('with a panel')
// another table, nothing chosen, two panels, a stranger, permission
const refused = async (how, prepare, want) => {
  await page.evaluate(prepare)
  await button('Test the panel that is plugged in').click()
  await until(how, async () => (await page.locator('aside').textContent()).includes(want))
}
await refused('another table is said at once', () => (window.__panel.crc = [1, 2, 3, 4]), 'not the one of')
await button('Stop').click()
await refused('nothing was chosen', () => (window.__none = true), 'No panel was chosen')
await refused('two of a kind', () => {
  window.__none = false
  const d = window.__panel.device
  navigator.hid.getDevices = async () => [d, { ...d }]
}, 'Two panels of this kind')
await refused('a stranger', () => {
  const d = window.__panel.device
  navigator.hid.getDevices = async () => [d]
  window.__was = d.collections
  d.collections = [{ usagePage: 1, usage: 2, inputReports: [{ items: [{ usages: [0x10030], reportSize: 8, reportCount: 1 }] }] }]
}, 'is a stranger to this file')
await refused('permission denied: the rule is offered', () => {
  const d = window.__panel.device
  d.collections = window.__was
  d.opened = false
  d.open = async () => { throw new DOMException('no', 'NotAllowedError') }
}, 'ATTRS{idVendor}=="1209"')
await page.close()

// 3. a browser with gamepads only
await open(`(() => {
  delete Navigator.prototype.hid
  window.__pad = { id: 'Cue desk', index: 0, connected: true, axes: [0, 0, 0, 0, 0, 0, 0], buttons: Array.from({ length: 24 }, () => ({ pressed: false })) }
  window.__pads = []
  Object.defineProperty(Navigator.prototype, 'getGamepads', { configurable: true, value: () => window.__pads })
})()`)
await button('Read the panel as a gamepad').click()
await until('before the first press a browser shows no gamepad: a sentence', async () => (await page.getByText('Press any button on the panel').count()) === 1)
await page.evaluate(() => (window.__pads = [window.__pad]))
await button('Read the panel as a gamepad').click()
await page.waitForSelector('.ask')
await page.evaluate((n) => (window.__pad.buttons[n].pressed = true), (bell.usage & 0xffff) - 1)
await until('BELL lights up by the gamepad', async () => page.locator('.control[data-name=bell].lit').count())
await page.evaluate(() => (window.__pads = [null]))
await until('a gamepad that is unplugged: a sentence', async () => (await page.getByText('The panel was unplugged.').count()) === 1)
await page.close()

// 4. a browser without either
await open('delete Navigator.prototype.hid; delete Navigator.prototype.getGamepads')
say((await page.getByText('can read neither HID devices nor gamepads').count()) === 1, 'a browser without the interfaces says so')
await page.setViewportSize({ width: 480, height: 900 })
await picture('bench-phone')
await chrome.close()
server.kill()
console.log(wrong ? `${wrong} wrong` : 'all right')
process.exit(wrong ? 1 : 0)
