// Walks through the Press and Box sheets with a real browser: node test/walk-press.mjs KNOBWRIGHT EXAMPLE.yaml [FOLDER for pictures] [FOLDER of a built page]
import axe from 'axe-core'
import { spawn } from 'node:child_process'
import { copyFileSync, existsSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium } from 'playwright-core'
import ts from 'typescript'

const [tool, example, pictures, built] = process.argv.slice(2)
const browser = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync)
if (!browser) {
  console.log('SKIPPED: no Chromium on this machine')
  process.exit(0)
}
const file = join(mkdtempSync(join(tmpdir(), 'walk-')), 'panel.yaml')
copyFileSync(example, file)
const text = () => readFileSync(file, 'utf8')
const original = text()
const server = spawn(tool, ['open', '--stay', ...(built ? ['--page', built] : []), file])
const link = await new Promise((done, fail) => {
  server.stdout.on('data', (d) => {
    const m = /http:\S+/.exec(String(d))
    if (m) done(m[0])
  })
  server.on('exit', () => fail(new Error('the program ended')))
})
const chrome = await chromium.launch({ executablePath: browser, args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'] })
const page = await chrome.newPage({ viewport: { width: 1440, height: 900 } })
let wrong = 0
const say = (ok, what) => {
  console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`)
  if (!ok) wrong++
}
page.on('pageerror', (e) => say(false, 'the page broke: ' + e.message))
page.on('console', (m) => m.type() === 'error' && !/status of 4(04|09|22)/.test(m.text()) && say(false, 'the console says: ' + m.text()))
page.on('request', (r) => r.url().startsWith(new URL(link).origin) || /^(data|blob):/.test(r.url()) || say(false, 'asked outside: ' + r.url()))
const until = async (what, test) => {
  for (let i = 0; i < 400; i++) {
    if (await test()) return say(true, what)
    await page.waitForTimeout(50)
  }
  say(false, what)
}
/** The page has heard of what was done last: nothing of it comes late into the next step. */
const heard = (p = page) =>
  p.waitForFunction(async () => document.querySelector('main')?.dataset.rev === String((await (await fetch('/api/look')).json()).rev), null, { polling: 100, timeout: 30000 }).catch(() => say(false, 'the page has not heard of it'))
const picture = async (name) => pictures && (await page.screenshot({ path: join(pictures, name + '.png') }))
const sheet = (name) => page.getByRole('navigation').getByRole('button', { name: new RegExp(name + '$') }).click()
const back = async (what = 'undo brings the file back, byte for byte', want = original) => {
  await page.locator('footer').click({ position: { x: 4, y: 4 } })
  await page.keyboard.press('Control+z')
  await until(what, () => text() === want)
  await heard()
  await until('     and the map is of it', async () => (await page.locator('.all').getAttribute('data-rev')) === (await page.locator('main').getAttribute('data-rev')) && (await page.locator('.map svg[aria-busy="false"]').count()) === 1)
}

await page.goto(link)
await page.waitForSelector('.control')
await sheet('Press')
await page.waitForSelector('.press')
await until('the map has lines with numbers', async () => (await page.locator('.contour').count()) > 3 && (await page.locator('text.level').count()) > 3)
await until('every control has its bar in the list', async () => (await page.getByRole('list', { name: 'Give under a thumb, mm' }).getByRole('button').count()) > 4)
await picture('press')

// what gives most, and a rib moved towards it
const gives = async () => Object.fromEntries(await page.locator('.press').evaluateAll((gs) => gs.map((g) => g.getAttribute('aria-label').match(/^(.*?) gives ([\d.]+)/)?.slice(1) ?? []).filter((x) => x.length)))
const before = await gives()
const middle = async (at) => {
  const b = await at.boundingBox()
  return [b.x + b.width / 2, b.y + b.height / 2]
}
const drag = async (from, to, let_go = true) => {
  await page.mouse.move(...from)
  await page.mouse.down()
  for (let i = 1; i <= 12; i++) await page.mouse.move(from[0] + ((to[0] - from[0]) * i) / 12, from[1] + ((to[1] - from[1]) * i) / 12)
  if (let_go) await page.mouse.up()
}
const ribs = page.locator('.rib')
const had = await ribs.count()
if (had) {
  const at = await middle(ribs.first())
  await drag(at, [at[0] - 60, at[1]], false)
  await until('while a rib is dragged the give follows', async () => JSON.stringify(await gives()) !== JSON.stringify(before))
  say(text() === original, 'nothing is written before the hand lets go')
  await picture('press-rib')
  await until('and when the hand rests, the lines too', async () => (await page.locator('.contour.old').count()) === 0 && (await page.locator('.contour').count()) > 0)
  await page.mouse.up()
  await until('then it is in the file', () => text() !== original)
  await back()
  await ribs.first().focus()
  await page.keyboard.press('Shift+ArrowRight')
  await until('an arrow moves a rib', () => text() !== original)
  await back()
  await ribs.first().focus()
  await page.getByRole('button', { name: 'Pin it' }).click()
  await until('a rib is pinned', () => /pinned: true/.test(text()))
  await until('and shows its nails', async () => (await page.locator('.rib.pinned').count()) === 1)
  const pinned = await middle(ribs.first())
  const was = text()
  await drag(pinned, [pinned[0] + 40, pinned[1]])
  await page.waitForTimeout(200)
  say(text() === was, 'a pinned rib does not follow the hand')
  await back()
  await ribs.first().focus()
  await page.keyboard.press('Delete')
  await until('a rib is taken out', async () => (await ribs.count()) === had - 1)
  await back()
}

// a control moves, its give with it
const controls = await page.locator('.press[aria-label*="springy"]').all()
const it = controls[0] ?? page.locator('.press').first()
const from = await middle(it.locator('.touch'))
await drag(from, [from[0] + 9, from[1] - 6], false)
await until('while a control is dragged the give follows', async () => JSON.stringify(await gives()) !== JSON.stringify(before))
say(text() === original, 'and nothing is written')
await page.mouse.up()
await until('then the move is in the file', () => text() !== original)
await back()

// a rib drawn, a rectangle without ribs
await until('the ribs are as they were', async () => (await ribs.count()) === had)
const map = await page.locator('.map svg .sheet').boundingBox()
const spot = (u, v) => [map.x + map.width * u, map.y + map.height * v]
await page.getByRole('button', { name: 'Add a rib' }).click()
await drag(spot(0.2, 0.47), spot(0.5, 0.475))
await until('a rib is drawn', async () => (await ribs.count()) === had + 1)
say(/rib-1: \{from: \[[\d.]+, ([\d.]+)\], to: \[[\d.]+, \1\]/.test(text()), 'nearly level, it lies level in the file')
await back()
const forbid = page.getByRole('button', { name: 'No ribs here' })
if (await forbid.count()) {
  await forbid.click()
  await drag(spot(0.3, 0.4), spot(0.45, 0.6))
  await until('a rectangle without ribs is in the file', () => /rib-free: \[\[\[/.test(text()))
  await until('and on the face', async () => (await page.locator('rect.free').count()) === 1)
  await picture('press-free')
  await back()
}

// ribs proposed: before and after, taken with one press
await page.getByRole('button', { name: 'Propose ribs' }).click()
const took = page.getByRole('button', { name: 'Take it', exact: true })
await until('ribs are proposed', async () => (await took.count()) === 1)
const number = async (name) => Number((await page.getByRole('button', { name }).textContent()).match(/[\d.]+$/)[0])
const [as, by] = [await number(/^as it is/), await number(/^with them/)]
say(by < as, `before ${as} mm, after ${by} mm`)
await picture('press-plan')
await page.getByRole('button', { name: /^as it is/ }).click()
say((await page.locator('polygon.new').count()) === 0, 'the map shows before')
await page.getByRole('button', { name: /^with them/ }).click()
say((await page.locator('polygon.new').count()) > 0, 'and after')
await took.click()
await until('taken, the ribs are in the file', () => /stiff-1: \{from:/.test(text()))
await until('and the worst press is what was promised', async () => Math.abs(Math.max(...Object.values(await gives()).map(Number)) - by) < 0.02 + by * 0.25)
await back()

// another sheet answers at once
const choice = page.getByRole('combobox', { name: 'sheet' })
const sheets = await choice.locator('option').allTextContents()
const thick = sheets.find((s) => /^Acrylic, 5 mm/.test(s)) ?? sheets[sheets.length - 1]
await until('the gives are as they were', async () => JSON.stringify(await gives()) === JSON.stringify(before))
const asked = Date.now()
await choice.selectOption(thick)
await until(`${thick} answers`, async () => JSON.stringify(await gives()) !== JSON.stringify(before))
console.log(`     a whole new sheet: ${Date.now() - asked} ms from the choice to new numbers`)
const thickness = page.getByRole('textbox', { name: 'thickness' })
await back()
const mapped = async () => Number(await page.locator('.all').getAttribute('data-rev'))
const was = await mapped()
await thickness.fill('2.5')
writeFileSync(file, original + '# a line from another editor\n')
await until('news comes from another editor', async () => (await mapped()) > was)
say((await thickness.inputValue()) === '2.5', 'it leaves what is being typed')
await thickness.press('Enter')
await until('a measured thickness is in the file', () => /actual: 2.5/.test(text()) && /another editor/.test(text()))
await back('undo takes back the thickness alone', original + '# a line from another editor\n')
await back()

for (const lamp of ['off', 'on']) {
  await page.getByRole('button', { name: 'Lamp ' + lamp }).click()
  await page.evaluate(axe.source)
  const found = await page.evaluate(() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa'] }))
  const grave = found.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
  say(grave.length === 0, `Press, lamp ${lamp}: no serious barrier` + grave.map((v) => `\n       ${v.id}: ${v.help} ${v.nodes[0].target}`).join(''))
}
await page.setViewportSize({ width: 412, height: 860 })
await page.waitForTimeout(300)
say((await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 1, 'a phone needs no sideways scrolling')
await picture('press-phone')
await page.setViewportSize({ width: 1440, height: 900 })
await page.waitForTimeout(300)

// from the pointer's move to the new give drawn, over 100 steps of a control and of a rib
const timed = (selector) =>
  page.evaluate(async (selector) => {
    const svg = document.querySelector('.map svg')
    const thing = document.querySelector(selector)
    const box = thing.getBoundingClientRect()
    const at = [box.x + box.width / 2, box.y + box.height / 2]
    const event = (type, dx, to) => to.dispatchEvent(new PointerEvent(type, { bubbles: true, pointerId: 1, button: type === 'pointermove' ? -1 : 0, buttons: 1, clientX: at[0] + dx, clientY: at[1], altKey: true }))
    const labels = () => [...document.querySelectorAll('.press')].map((g) => g.getAttribute('aria-label')).join()
    event('pointerdown', 0, thing)
    const out = []
    for (let i = 0; i < 100; i++) {
      const was = labels()
      const t = performance.now()
      event('pointermove', ((i % 20) - 10) * 3 + (i % 2 ? 0.4 : 0), svg)
      while (labels() === was && performance.now() - t < 1000) await new Promise((r) => requestAnimationFrame(r))
      if (performance.now() - t < 1000) out.push(performance.now() - t)
    }
    event('pointermove', 0, svg)
    await new Promise((r) => setTimeout(r, 300))
    document.body.dispatchEvent(new KeyboardEvent('keydown', { key: 'Escape', bubbles: true }))
    return out.sort((a, b) => a - b)
  }, selector)
for (const [what, selector] of [['control', '.press[aria-label*="springy"] .touch'], ['rib', '.rib polygon']]) {
  if (!(await page.locator(selector).count())) continue
  const t = await timed(selector)
  say(t.length > 10, `a ${what} was followed`)
  console.log(`     pointer to give drawn, ${what}, ${t.length} steps: median ${t[t.length >> 1].toFixed(1)} ms, 95th percentile ${t[Math.floor(t.length * 0.95)].toFixed(1)} ms`)
}
say(text() === original, 'the file is as it was')

// the box: cut, opened, bent, pulled apart, its boards drawn
const module = ts.transpileModule(readFileSync(new URL('../src/lib/cut.ts', import.meta.url), 'utf8'), { compilerOptions: { module: 'esnext', target: 'es2022' } }).outputText
const { cutLines, hatch, regions, welded } = await import('data:text/javascript,' + encodeURIComponent(module))
{
  // a bar 40 by 30 with a square tunnel of 10, along z from 0 to 20, cut at z = 7 and on the slant
  const ring = (h, z) => [[-h[0], -h[1]], [h[0], -h[1]], [h[0], h[1]], [-h[0], h[1]]].map(([x, y]) => [x, y, z])
  const points = [...ring([20, 15], 0), ...ring([20, 15], 20), ...ring([5, 5], 0), ...ring([5, 5], 20)].flat()
  const tris = []
  for (let k = 0; k < 4; k++) {
    const n = (k + 1) % 4
    tris.push(k, n, n + 4, k, n + 4, k + 4, 8 + k, 12 + n, 8 + n, 8 + k, 12 + k, 12 + n) // sides, tunnel
    tris.push(k, 8 + n, n, k, 8 + k, 8 + n, 4 + k, 4 + n, 12 + n, 4 + k, 12 + n, 12 + k) // ends
  }
  const body = { points, tris }
  const size = (l) => Math.abs(l.reduce((s, p, i) => s + p[0] * l[(i + 1) % l.length][1] - l[(i + 1) % l.length][0] * p[1], 0) / 2)
  const q = Math.SQRT1_2
  for (const [what, o, u, v, want] of [['across', [0, 0, 7], [1, 0, 0], [0, 1, 0], 1100], ['through a corner', [0, 0, 0], [1, 0, 0], [0, 1, 0], 1100], ['along, beside the tunnel', [0, 10, 0], [1, 0, 0], [0, 0, 1], 800], ['slanting', [0, 0, 10], [1, 0, 0], [0, q, q], (20 / q) * 40 - (10 / q) * 10]]) {
    const rs = regions(cutLines(body, welded(body), o, u, v))
    const area = rs.reduce((s, r) => s + size(r.edge) - r.holes.reduce((t, h) => t + size(h), 0), 0)
    const inked = rs.flatMap((r) => hatch(r, 0.05, 45)).reduce((s, [a, b]) => s + Math.hypot(a[0] - b[0], a[1] - b[1]) * 0.05, 0)
    const right = what === 'through a corner' || Math.abs(area - want) < 1e-6 * want
    say(right && Math.abs(inked - area) < 0.01 * area + 0.01, `a cut ${what}: ${area.toFixed(2)} mm2`)
  }
}
await sheet('Box')
const canvas = page.locator('canvas')
await canvas.waitFor()
const seen = async () => (await canvas.screenshot()).toString('base64')
await until('the boards are listed', async () => (await page.getByRole('region', { name: 'Boards' }).getByRole('button').count()) > 4)
let whole = ''
await until('the box is drawn, and stands still', async () => {
  const was = whole
  whole = await seen()
  return whole === was
})
await picture('box')
const slide = (name, v) =>
  page.getByRole('slider', { name }).evaluate((e, v) => {
    e.value = v
    e.dispatchEvent(new Event('input', { bubbles: true }))
  }, v)
const told = page.locator('p.state')
for (const [name, word, at] of [['Open it', /face|base/i, 60], ['Pull it apart', /do not measure/, 60]]) {
  await slide(name, at)
  await until(`${name}: seen`, async () => (await seen()) !== whole)
  say(word.test(await told.textContent()), `${name}: said: ${await told.textContent()}`)
  await picture('box-' + name.split(' ')[0].toLowerCase())
  await slide(name, 0)
}
const control = page.getByRole('combobox', { name: 'Through' })
const all = await control.locator('option').evaluateAll((os) => os.map((o) => o.value))
await control.selectOption(all[all.length >> 1])
await until('back', async () => (await seen()) !== '')
for (const how of ['cut front to back', 'cut left to right']) {
  await page.getByRole('button', { name: how }).click()
  await until(`${how}: seen`, async () => (await seen()) !== whole)
  say(/^Cut through/.test(await told.textContent()), await told.textContent())
  await picture('box-' + how.replaceAll(' ', '-'))
}
await page.getByRole('button', { name: 'whole' }).click()
await control.selectOption(all.find((n) => controls[0] && original.includes(n + ':') && n === 'rain') ?? all[0])
await page.getByRole('checkbox', { name: /^bent/ }).check()
await until('the bent shape says how much larger than life it is', async () => /times as far as it is/.test(await told.textContent()))
await picture('box-bent')
await page.getByRole('checkbox', { name: /^bent/ }).uncheck()
await page.getByRole('region', { name: 'Boards' }).getByRole('button').first().click()
await until('a board has its drawing', async () => (await page.locator('dialog .drawing svg path').count()) > 3)
await picture('box-board')
await page.getByRole('button', { name: 'Put it back' }).click()
const place = await canvas.boundingBox()
await page.mouse.click(place.x + place.width / 2, place.y + place.height / 2)
await until('a touch on the box finds something', async () => (await page.locator('dialog[open]').count()) > 0 || (await page.locator('header .sentence').textContent()).includes(' is a'))
if (await page.locator('dialog[open]').count()) await page.getByRole('button', { name: 'Put it back' }).click()
await page.evaluate(axe.source)
const found = await page.evaluate(() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa'] }))
const grave = found.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
say(grave.length === 0, 'Box: no serious barrier' + grave.map((v) => `\n       ${v.id}: ${v.help} ${v.nodes[0].target}`).join(''))

await chrome.close()
server.kill()
process.exit(wrong ? 1 : 0)
