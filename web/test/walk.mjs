// Walks through the page with a real browser: node test/walk.mjs KNOBWRIGHT EXAMPLE.yaml [FOLDER for pictures] [FOLDER of the page]
import axe from 'axe-core'
import { spawn } from 'node:child_process'
import { copyFileSync, existsSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
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
page.on('console', (m) => m.type() === 'error' && !/status of 4(09|22)/.test(m.text()) && say(false, 'the console says: ' + m.text()))
page.on('request', (r) => r.url().startsWith(new URL(link).origin) || r.url().startsWith('data:') || say(false, 'asked outside: ' + r.url()))
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

// by the page's own clock, from the moment the link is opened to the frame that shows the controls
await page.addInitScript(() => {
  const o = new MutationObserver(() => {
    if (!document.querySelector('.control')) return
    o.disconnect()
    requestAnimationFrame(() => setTimeout(() => (globalThis.firstDrawing = performance.now())))
  })
  o.observe(document, { childList: true, subtree: true })
})
const began = Date.now()
await page.goto(link)
await page.waitForSelector('.control')
const driven = Date.now() - began
await page.waitForFunction(() => globalThis.firstDrawing)
console.log(`     first drawing after ${Math.round(await page.evaluate(() => globalThis.firstDrawing))} ms (${driven} ms as the driver of the browser sees it)`)
await picture('face')

// drag a control into another one, and out again
const first = page.locator('.control:not(.fixed)')
const names = await first.evaluateAll((gs) => gs.map((g) => g.getAttribute('aria-label')))
const label = names.find((n) => n.startsWith('GO,')) ?? names[0]
const it = page.locator(`.control[aria-label="${label}"]`).first()
const notes = page.getByRole('region', { name: 'Notes' })
const stops = () => notes.locator('article.stop').count()
const was = await stops()
const b = await it.boundingBox()
const mid = [b.x + b.width / 2, b.y + b.height / 2]
const other = await page.locator('.control').filter({ hasNot: page.locator('.x') }).evaluateAll((gs, l) => {
  const me = gs.find((g) => g.getAttribute('aria-label') === l).getBoundingClientRect()
  let best = null
  for (const g of gs) {
    if (g.getAttribute('aria-label') === l) continue
    const r = g.getBoundingClientRect()
    const d = Math.hypot(r.x + r.width / 2 - me.x - me.width / 2, r.y + r.height / 2 - me.y - me.height / 2)
    if (!best || d < best[0]) best = [d, r.x + r.width / 2, r.y + r.height / 2]
  }
  return best.slice(1)
}, label)
await page.mouse.move(...mid)
await page.mouse.down()
for (let i = 1; i <= 20; i++) await page.mouse.move(mid[0] + ((other[0] - mid[0]) * i) / 20, mid[1] + ((other[1] - mid[1]) * i) / 20)
await until('a clash is seen while the hand moves', async () => (await stops()) > was)
await picture('drag')
say(text() === original, 'nothing is written before the hand lets go')
for (let i = 20; i >= 0; i--) await page.mouse.move(mid[0] + ((other[0] - mid[0]) * i) / 20, mid[1] + ((other[1] - mid[1]) * i) / 20)
await until('and gone when it moves out', async () => (await stops()) === was)
await page.mouse.move(mid[0] + 14, mid[1] - 9)
await page.mouse.up()
await until('the move is in the file', () => text() !== original)
const lines = (s) => s.split('\n')
const changed = lines(text()).filter((l, i) => l !== lines(original)[i])
say(changed.length === 1 && lines(text()).length === lines(original).length, 'one line has changed, all others are as they were')
await page.keyboard.press('Control+z')
await until('undo brings the file back, byte for byte', () => text() === original)

// keyboard alone, when the drawing has taken the old file back
await heard()
await it.focus()
await page.keyboard.press('Shift+ArrowLeft')
await until('an arrow moves it', () => text() !== original)
await page.keyboard.press('Control+z')
await until('undone', () => text() === original)
await heard()

// another editor saves
writeFileSync(file, original.replace(/^title: .*/m, 'title: Saved by another'))
await until('a save of another editor appears', () => page.getByText('Saved by another').first().isVisible())
await page.keyboard.press('Control+z')
await until('and can be undone', () => text() === original)
await heard()

// the text pane: typing, a text that stops parsing, a clash
await sheet('File')
await page.waitForSelector('.cm-content')
await picture('file')
await page.locator('.cm-content').click()
await page.keyboard.press('Control+End')
await page.keyboard.type('x: y: z')
await until('a broken text keeps the last drawing, and says so', () => page.getByText('the text cannot be read as it stands', { exact: false }).first().isVisible())
for (let i = 0; i < 7; i++) await page.keyboard.press('Backspace')
await until('mended', async () => !(await page.getByText('cannot be read as it stands', { exact: false }).first().isVisible()))
await page.locator('.cm-content').click()
await page.keyboard.press('Control+End')
await page.keyboard.type('# mine\n', { delay: 0 })
writeFileSync(file, text() + '# theirs\n')
await until('a clash shows both sides', async () => (await page.locator('dialog').isVisible()) || text().includes('# mine'))
if (await page.locator('dialog').isVisible()) {
  await picture('clash')
  say((await page.locator('dialog pre').allTextContents()).join('').includes('# mine'), 'what was typed is still there')
  await page.locator('dialog button').first().click()
}
await until('nothing is lost', () => text().includes('# mine') || text().includes('# theirs'))
writeFileSync(file, original)

for (const name of ['Behind', 'Box', 'Parts', 'Packet']) {
  await sheet(name)
  await page.waitForTimeout(name === 'Box' || name === 'Packet' ? 2500 : 600)
  await picture(name.toLowerCase())
  if (name === 'Behind') say((await page.locator('.wire').count()) > 3, 'the wires are drawn')
  if (name === 'Box') say((await page.locator('canvas').count()) === 1, 'the box is drawn')
  if (name === 'Parts') await until('parts are listed', async () => (await page.locator('li .picture svg').count()) > 20)
  if (name === 'Packet') await until('the papers are listed', async () => (await page.locator('tbody tr').count()) > 10)
}

// the sheets by their digits
await page.locator('footer').click({ position: { x: 4, y: 4 } })
const tabs = await page.getByRole('navigation').getByRole('button').allTextContents()
for (const i of [0, 2, tabs.length - 1]) {
  await page.keyboard.press(String((i + 1) % 10))
  await until(`key ${(i + 1) % 10} leafs to ${tabs[i].replace(/^\d+/, '')}`, async () => (await page.locator('nav [aria-current=page]').textContent()) === tabs[i])
}

// every sheet for people who cannot see or point
for (const name of ['Face', 'Behind', 'File', 'Parts', 'Packet']) {
  await sheet(name)
  await page.waitForTimeout(500)
  await page.evaluate(axe.source)
  const found = await page.evaluate(() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa'] }))
  const grave = found.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
  say(grave.length === 0, `${name}: no serious barrier` + grave.map((v) => `\n       ${v.id}: ${v.help} ${v.nodes[0].target}`).join(''))
}
await page.setViewportSize({ width: 412, height: 860 })
await sheet('Face')
await page.waitForTimeout(500)
say((await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 1, 'a phone needs no sideways scrolling')
await picture('phone')

// how long from the pointer's move to the checked result
await page.setViewportSize({ width: 1440, height: 900 })
await page.waitForTimeout(300)
const times = await page.evaluate(async (label) => {
  const look = await (await fetch('/api/look')).json()
  const c = look.controls.find((c) => c.move && !c.pinned)
  const out = []
  for (let i = 0; i < 200; i++) {
    const t = performance.now()
    const value = `[${c.base[0] + ((i % 40) - 20) / 4}, ${c.base[1]}]`
    await (await fetch('/api/try', { method: 'POST', body: JSON.stringify({ say: '', edits: [{ op: 'set', path: c.move, value }] }) })).json()
    out.push(performance.now() - t)
  }
  return out.sort((a, b) => a - b)
}, label)
console.log(`     pointer to checked result over 200 steps: median ${times[100].toFixed(1)} ms, 99th percentile ${times[197].toFixed(1)} ms`)

await chrome.close()
server.kill()
process.exit(wrong ? 1 : 0)
