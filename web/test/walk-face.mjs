// Walks over Face, Parts and File with a real browser: node test/walk-face.mjs KNOBWRIGHT EXAMPLE.yaml [FOLDER for pictures] [FOLDER of the page]
// A second example, signal-desk.yaml beside the first, is dragged too.
import axe from 'axe-core'
import { spawn } from 'node:child_process'
import { copyFileSync, existsSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { availableParallelism, loadavg, tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { chromium } from 'playwright-core'

const [tool, example, pictures, built] = process.argv.slice(2)
const browser = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync)
if (!browser) {
  console.log('SKIPPED: no Chromium on this machine')
  process.exit(0)
}
let wrong = 0
const say = (ok, what) => {
  console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`)
  if (!ok) wrong++
}
const servers = []
async function opened(source, ...more) {
  const file = join(mkdtempSync(join(tmpdir(), 'walk-')), 'panel.yaml')
  copyFileSync(source, file)
  const server = spawn(tool, ['open', '--stay', ...(built ? ['--page', built] : []), ...more, file])
  servers.push(server)
  let out = ''
  const link = await new Promise((done, fail) => {
    server.stdout.on('data', (d) => {
      out += d
      const m = /http:\/\/127\S+/.exec(out) // the first one is the owner's
      if (m) done(m[0])
    })
    server.on('exit', () => fail(new Error('the program ended')))
  })
  return { file, link, text: () => readFileSync(file, 'utf8') }
}
const chrome = await chromium.launch({ executablePath: browser, args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'] })
async function visit(link, options = {}) {
  const page = await chrome.newPage({ viewport: { width: 1440, height: 900 }, ...options })
  page.on('pageerror', (e) => say(false, 'the page broke: ' + e.message))
  page.on('console', (m) => m.type() === 'error' && !/status of 4(03|09|22)/.test(m.text()) && say(false, 'the console says: ' + m.text()))
  page.on('request', (r) => r.url().startsWith(new URL(link).origin) || r.url().startsWith('data:') || say(false, 'asked outside: ' + r.url()))
  await page.goto(link)
  await page.waitForSelector('.control')
  await page.waitForTimeout(300)
  return page
}
const { file, link, text } = await opened(example)
const original = text()
const page = await visit(link)
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
const picture = async (name, p = page) => pictures && (await p.screenshot({ path: join(pictures, name + '.png') }))
const sheet = (name, p = page) => p.getByRole('navigation').getByRole('button', { name: new RegExp(name + '$') }).click()
const control = (name, p = page) => p.locator(`[data-name="${name}"]`)
const middle = async (name, p = page) => {
  const b = await control(name, p).locator('.front').first().boundingBox()
  return [b.x + b.width / 2, b.y + b.height / 2]
}
const act = (name) => page.getByRole('button', { name, exact: true }).click()
const changed = (to = text()) => to.split('\n').filter((l, i) => l !== original.split('\n')[i])
const undo = async () => {
  await page.locator('body').press('Control+z')
  await until('undone, byte for byte', () => text() === original)
  await heard()
}
const place = (name) => page.evaluate(async (n) => { const c = (await (await fetch('/api/look')).json()).controls.find((c) => c.name === n); return c && [c.x, c.y] }, name)

// several in hand
await page.mouse.click(...(await middle('go')))
await page.keyboard.down('Shift')
await page.mouse.click(...(await middle('standby')))
await page.mouse.click(...(await middle('band')))
await page.keyboard.up('Shift')
say((await page.locator('.control.hand').count()) === 3, 'shift takes one more in hand')
await picture('face-several')
await act('middle')
await until('they line up with the first one', async () => (await place('standby'))[1] === (await place('go'))[1] && (await place('band'))[1] === (await place('go'))[1])
say(changed().length === 2, 'in the file two lines have changed')
await undo()
await act('across')
await until('and are spread evenly', async () => Math.abs((await place('standby'))[0] - 308) > 5)
await undo()

// a box round several, moved together, as one step
const svg = await page.locator('svg[aria-label="The face"]').boundingBox()
const [dx, dy] = await middle('door')
const [bx] = await middle('bell')
await page.mouse.move(dx - 28, dy - 26)
await page.mouse.down()
await page.mouse.move(bx + 24, dy + 24, { steps: 6 })
await picture('face-band')
await page.mouse.up()
say((await page.locator('.control.hand').count()) === 5, 'a box takes five in hand')
await page.mouse.move(dx, dy)
await page.mouse.down()
await page.mouse.move(dx + 12, dy - 16, { steps: 8 })
await picture('face-together')
await page.mouse.up()
await until('a whole row goes by its beginning', () => changed().length === 1 && /row: \{from: \[(?!44, 144)/.test(changed()[0]))
await undo()
await page.locator('svg[aria-label="The face"]').click({ position: { x: 6, y: 60 } })
await page.keyboard.press('Control+a')
say((await page.locator('.control.hand').count()) === (await page.locator('.control').count()), 'ctrl and A take all in hand')

// a row as an object
await page.mouse.click(...(await middle('door')))
await page.mouse.click(...(await middle('door')))
await page.keyboard.press('g')
await until('g takes the row in hand', () => page.getByText('is a row of 5').isVisible())
const handle = page.locator('[data-handle="pitch"][data-group="sounds"]')
const h = await handle.boundingBox()
await page.mouse.move(h.x + h.width / 2, h.y + h.height / 2)
await page.mouse.down()
await page.mouse.move(h.x + h.width / 2 + 40, h.y + h.height / 2 + 4, { steps: 8 })
await page.waitForTimeout(500)
await picture('face-row')
await page.mouse.up()
await until('its handle changes the step', () => changed().length === 1 && /step: (3[5-9]|4\d)/.test(changed()[0]))
await undo()
await page.keyboard.press('Escape')

// as typed
await page.mouse.click(...(await middle('go')))
await page.getByRole('textbox', { name: 'across' }).fill('14 3/4 in')
await page.keyboard.press('Enter')
await until('inches are kept as they were typed', () => changed().length === 1 && changed()[0].includes('at: [14 3/4 in, 70]'))
await undo()
await page.getByRole('textbox', { name: 'across' }).fill('wide')
await page.keyboard.press('Enter')
await until('what is no length is refused with a sentence', () => page.locator('[role=alert]').first().isVisible())
say(text() === original, 'and nothing is written')
await page.getByRole('button', { name: 'I see' }).click()

// copy, rename, turn, take out
await act('copy')
await until('a copy has a name of its own and sends nothing', () => changed().some((l) => /^ {2}go-2: \{part: push-30mm, at: \[[^\]]+\], legend: GO 2\}/.test(l)))
await undo()
await page.mouse.click(...(await middle('gauze')))
await page.getByRole('button', { name: 'rename gauze' }).click()
await page.getByLabel('called').fill('veil')
await page.keyboard.press('Enter')
await until('a new name is written wherever the old one stood', () => text().includes('veil: {legend: GAUZE}') && text().includes('sends: follows veil') && !/\bgauze\b:/.test(text()))
await undo()
await page.mouse.click(...(await middle('curtain')))
await page.keyboard.press('Delete')
await until('the delete key takes it out', () => !text().includes('curtain:'))
await undo()

// room for fingers and tools, measured distances
await page.mouse.click(...(await middle('standby')))
await page.getByLabel('room for fingers and tools').check()
await until('the rings are drawn', async () => (await page.locator('.rooms polygon').count()) >= 2)
const [sx, sy] = await middle('standby')
await page.mouse.move(sx, sy)
await page.mouse.down()
await page.mouse.move(sx - 62, sy - 3, { steps: 16 })
await until('a clash has a note, and a leader joins it to its spot', async () => (await page.locator('.leaders path.stop').count()) >= 1)
say((await page.locator('.guides .measure').count()) >= 3, 'distances to what stands beside it are shown')
await picture('face-drag')
await page.keyboard.press('Escape')
await page.mouse.up()
say(text() === original, 'escape puts it back')
await page.getByLabel('room for fingers and tools').uncheck()

// equal gaps draw
const [fx, fy] = await middle('standby')
const scale = Number(await page.locator('svg[aria-label="The face"]').getAttribute('data-scale'))
await page.mouse.move(fx, fy)
await page.mouse.down()
let even = false
for (let i = 0; i <= 60 && !even; i++) {
  await page.mouse.move(fx - 10 - i * scale * 0.5, fy - 2, { steps: 2 })
  even = (await page.locator('.guides line.gap').count()) >= 2
}
say(even, 'equal gaps draw, and are marked')
await picture('face-gaps')
await page.keyboard.press('Escape')
await page.mouse.up()

// closer, and with the wheel
await page.mouse.move(fx, fy)
await page.mouse.wheel(0, -600)
await until('the wheel brings it closer', async () => Number(await page.locator('svg[aria-label="The face"]').getAttribute('data-scale')) > scale * 1.8)
await picture('face-closer')
await page.getByRole('button', { name: 'all of it' }).click()

// the keyboard alone: to a control, along, to the row's handle, out
await page.mouse.click(8, 8)
await page.getByRole('checkbox', { name: 'room for fingers and tools' }).focus()
for (let i = 0; i < 40; i++) {
  await page.keyboard.press('Tab')
  if ((await page.evaluate(() => document.activeElement?.getAttribute('data-name'))) === 'house') break
}
await until('tab reaches a control and takes it in hand', () => page.getByText('HOUSE LIGHTS is a').isVisible().catch(() => false))
for (let i = 0; i < 6; i++) await page.keyboard.press('ArrowRight')
await until('six arrows are one step of three millimetres', () => changed().length === 1 && changed()[0].includes('at: [193, 214]'))
await undo()
await control('door').focus()
await page.keyboard.press('Enter')
await page.locator('[data-handle="pitch"][data-group="sounds"]').focus()
await page.keyboard.press('ArrowRight')
await until('an arrow on a handle changes its value by half a millimetre', () => changed().length === 1 && changed()[0].includes('step: 34.5'))
await undo()
await page.keyboard.press('Escape')

// parts: by hole, trade and look; carried to the face
await sheet('Parts')
await page.getByLabel('for a hole of').fill('16')
await page.getByLabel('of the trade').selectOption('push')
await until('parts are found by hole and trade', async () => { const t = await page.locator('li .quiet').allTextContents(); return t.length > 2 && t.every((x) => x.includes('hole 16')) })
say((await page.locator('li .picture svg').count()) > 2, 'each has its picture')
const li = await page.locator('li').first().boundingBox()
const f = await page.locator('svg[aria-label="The face"]').boundingBox()
await page.mouse.move(li.x + 50, li.y + 30)
await page.mouse.down()
await page.mouse.move(li.x + 80, li.y + 40, { steps: 3 })
await page.mouse.move(f.x + f.width * 0.5, f.y + f.height * 0.45, { steps: 8 })
await page.waitForTimeout(400)
await picture('parts-carry')
await page.mouse.up()
await until('a part that is carried to the face stands in the file', () => changed().some((l) => /push-1: \{part: push-16mm/.test(l)))
await undo()
await page.getByRole('button', { name: 'from all sides' }).first().click()
await until('it is drawn from all sides', async () => (await page.locator('.sheet svg').count()) === 1)
await picture('parts')
await page.getByRole('button', { name: 'measure yours' }).first().click()
await page.getByLabel('nut', { exact: true }).check()
await until('the card asks what the answers before lead to', () => page.getByText('How wide is the thread').first().isVisible())
await page.getByLabel(/How wide is the thread.*1 of 3/).fill('15.9')
await page.getByLabel(/How wide is the thread.*2 of 3/).fill('none')
await until('a reading that is none is said so at its place', () => page.locator('fieldset [role=status]').first().isVisible())
await page.getByLabel(/How wide is the thread.*2 of 3/).fill('15.8')
await until('the record is shown as it will stand', () => page.locator('pre').filter({ hasText: 'my-push-16mm' }).first().isVisible())
await picture('card')
await page.getByRole('button', { name: /^Write it into/ }).click()
await until('and written beside the panel, which names it', () => existsSync(join(dirname(file), 'my-parts.yaml')) && text().includes('catalogue: my-parts.yaml'))
await page.locator('body').press('Control+z')
await until('the panel file is as it was', () => text() === original)
await heard()

// the file pane: help from the schema, errors at their place, a text that stops parsing
const help = Promise.all(['/api/schema', '/api/names'].map((u) => page.waitForResponse((x) => x.url().endsWith(u)).then((x) => x.finished())))
await sheet('File')
await page.waitForSelector('.cm-content')
await help
await heard()
const go = async (line) => {
  await page.locator('.cm-content').focus()
  await page.keyboard.press('Control+Home')
  for (let k = 0; k < line; k++) await page.keyboard.press('ArrowDown')
  await page.keyboard.press('End')
}
const lines = original.split('\n')
await go(lines.findIndex((l) => l.includes('standby:')))
await page.keyboard.press('ArrowLeft')
await page.keyboard.type(', ', { delay: 20 })
await page.keyboard.press('Control+Space')
await until('keys are proposed between brackets, without those that stand there', async () => { const t = await page.locator('.cm-completionLabel').allTextContents(); return t.includes('via') && !t.includes('part') })
await picture('file-help')
await page.keyboard.type('vi', { delay: 40 })
await until('what is typed is found', async () => /^via/.test(await page.locator('.cm-tooltip-autocomplete [aria-selected]').textContent().catch(() => '')))
await page.waitForTimeout(200) // keys are not taken for a choice in the moment in which the list appears
await page.keyboard.press('Enter')
await page.keyboard.press('Control+Space')
await until('and words where a value stands', async () => (await page.locator('.cm-completionLabel').allTextContents()).includes('ladder'))
await page.keyboard.press('Escape')
await page.keyboard.type('sideways')
await until('an error is marked at its place', async () => (await page.locator('.cm-lintRange-error').count()) >= 1)
await picture('file-error')
for (let i = 0; i < 'via: sideways'.length + 2; i++) await page.keyboard.press('Backspace')
await until('mended', () => text() === original)
await go(lines.findIndex((l) => l.startsWith('hand:')))
await page.locator('.cm-activeLine.cm-line').hover({ position: { x: 20, y: 8 } })
await until('a word is explained under the pointer', () => page.locator('.help').first().isVisible())
await page.mouse.move(700, 20)
await go(lines.findIndex((l) => l.includes('phones:')))
await page.keyboard.press('Enter')
await page.keyboard.type('more: half: way')
await until('a text that stops parsing is said to be so', () => page.getByText('cannot be read as it stands', { exact: false }).first().isVisible())
await page.keyboard.press('Escape')
await sheet('Face')
await until('the last good drawing stays, marked as old', async () => (await page.locator('svg.stale .control').count()) > 20 && (await page.locator('svg text.old').count()) === 1)
await picture('face-old')
writeFileSync(file, original)
await until('mended from outside', async () => (await page.locator('svg.stale').count()) === 0)

// two pages of one file
const other = await visit(await page.evaluate(() => location.href), { storageState: await page.context().storageState() })
await page.mouse.click(...(await middle('go')))
await page.keyboard.press('ArrowUp')
await until('what one page does the other one shows', async () => /70\.5 up/.test(await control('go', other).getAttribute('aria-label')))
await other.close()
await undo()

// a full disk, a file that is gone: told, and nothing lost
const gone = await opened(example)
const third = await visit(gone.link)
const { rmSync } = await import('node:fs')
rmSync(gone.file)
await until('a file that is gone is told', () => third.getByText('no such file', { exact: false }).first().isVisible())
writeFileSync(gone.file, original)
await until('and when it is back all is well', async () => !(await third.getByText('no such file', { exact: false }).first().isVisible()))
await third.close()

// print
await page.keyboard.press('Escape')
await page.emulateMedia({ media: 'print' })
await picture('face-print')
const pdf = await page.pdf({ format: 'A4', landscape: true })
say((String(pdf).match(/\/Type ?\/Page\b/g) ?? []).length === 1, 'the face prints on one page')
const onPaper = await page.locator('svg[aria-label="The face"]').boundingBox()
say(onPaper.height > 300 && onPaper.width > 600, 'and stands there large')
say(!(await page.getByRole('navigation').isVisible()) && (await page.locator('.bar').isVisible()) === false, 'without what is for the hand')
await page.emulateMedia({ media: 'screen' })

// every sheet of these for people who cannot see or point
async function barriers(what, p = page) {
  await p.waitForTimeout(400)
  await p.evaluate(axe.source)
  const found = await p.evaluate(() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa'] }))
  const grave = found.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
  say(grave.length === 0, `${what}: no serious barrier` + grave.map((v) => `\n       ${v.id}: ${v.help} ${v.nodes[0].target} ${v.nodes[0].any[0]?.message ?? ''}`).join(''))
}
for (const lamp of ['on', 'off']) {
  await sheet('Face')
  await page.mouse.click(...(await middle('go')))
  await barriers('Face, lamp ' + lamp)
  await page.keyboard.press('g')
  await page.mouse.click(...(await middle('door')))
  await page.keyboard.press('g')
  await barriers('Face with a row in hand, lamp ' + lamp)
  if (lamp === 'off') await picture('face-lamp-off')
  await sheet('Parts')
  await barriers('Parts, lamp ' + lamp)
  if (lamp === 'off') await picture('parts-lamp-off')
  await page.getByRole('button', { name: 'measure yours' }).first().click()
  await barriers('Caliper card, lamp ' + lamp)
  await page.getByRole('button', { name: 'Put the card away' }).click()
  await sheet('File')
  await barriers('File, lamp ' + lamp)
  if (lamp === 'off') await picture('file-lamp-off')
  if (lamp === 'on') await page.getByRole('button', { name: 'Lamp off' }).click()
}
await page.getByRole('button', { name: 'Lamp on' }).click()

// a phone
await page.setViewportSize({ width: 390, height: 844 })
for (const name of ['Face', 'Parts', 'File']) {
  await sheet(name)
  await page.waitForTimeout(500)
  say((await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 1, `${name}: a phone needs no sideways scrolling`)
  await picture('phone-' + name.toLowerCase())
}
await sheet('Face')
await page.locator('[data-name="go"]').click()
await page.waitForTimeout(300)
await picture('phone-hand')
await page.close()

// a guest: a link that works once; looks, and changes nothing
const lent = await opened(example, '--share-at', '127.0.0.1')
{
  const owner = await visit(lent.link)
  const links = await owner.evaluate(async () => (await (await fetch('/api/share', { method: 'POST', body: '{}' })).json()).links)
  const context = await chrome.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true })
  const phone = await context.newPage()
  await phone.goto(links[0])
  await phone.getByRole('navigation').getByRole('button', { name: /Face$/ }).click()
  await phone.waitForSelector('.control', { timeout: 20000 }).catch(() => {})
  say((await phone.locator('.control').count()) > 20, 'a guest sees the face')
  say((await phone.getByRole('button', { name: 'take it out' }).count()) === 0 && (await phone.getByRole('navigation').getByRole('button', { name: /File$/ }).count()) === 0, 'and finds nothing to change it with')
  const refused = await phone.evaluate(async () => (await fetch('/api/act', { method: 'POST', body: '{"do":"remove","names":["go"]}' })).status)
  say(refused === 403 && lent.text() === original, 'a change is refused')
  await picture('phone-guest', phone)
  const second = await (await chrome.newContext()).newPage()
  await second.goto(links[0])
  say(/has been used/.test(await second.textContent('body')), 'the link lets nobody in twice')
  await context.close()
  await owner.close()
}

// how long from the pointer's move to the checked result in the drawing
async function drag(source, name, what) {
  const x = await opened(source)
  const p = await visit(x.link)
  await p.waitForTimeout(1000)
  const [mx, my] = await middle(name, p)
  await p.mouse.move(mx, my)
  await p.mouse.down()
  await p.mouse.move(mx + 6, my + 3, { steps: 4 })
  await p.waitForFunction(() => Number(document.querySelector('svg[aria-label="The face"]').dataset.tried) > 0, null, { timeout: 15000 }).catch(() => {})
  const times = await p.evaluate(async ([mx, my]) => {
    const svg = document.querySelector('svg[aria-label="The face"]')
    const px = Number(svg.dataset.scale) / 2 // half a millimetre
    const out = []
    for (let i = 0, lost = 0; i < 220 && lost < 5; i++) {
      const was = svg.dataset.tried
      const began = performance.now()
      const drawn = new Promise((done) => {
        const watch = new MutationObserver(() => svg.dataset.tried !== was && (watch.disconnect(), done(true)))
        watch.observe(svg, { attributes: true })
        setTimeout(() => (watch.disconnect(), done(false)), 3000)
      })
      svg.dispatchEvent(new PointerEvent('pointermove', { pointerId: 1, clientX: mx + 6 + ((i * 7) % 41) * px, clientY: my + 3 + ((i * 3) % 17) * px, bubbles: true, altKey: true }))
      if (await drawn) out.push(performance.now() - began)
      else lost++
      await new Promise((r) => setTimeout(r, 4))
    }
    return out
  }, [mx, my])
  await p.keyboard.press('Escape')
  await p.mouse.up()
  const s = times.slice(20).sort((a, b) => a - b)
  const at = (q) => s[Math.min(s.length - 1, Math.floor(s.length * q))] ?? NaN
  say(s.length >= 195, `${what}: every step is answered (${s.length} of 200)`)
  console.log(`     ${what}, pointer to checked result in the drawing over ${s.length} steps: median ${at(0.5).toFixed(1)} ms, 99th percentile ${at(0.99).toFixed(1)} ms (load ${loadavg()[0].toFixed(1)} on ${availableParallelism()} cores)`)
  await p.close()
}
await drag(example, 'go', 'cue-desk')
const signal = join(dirname(example), 'signal-desk.yaml')
if (existsSync(signal)) {
  await drag(signal, 'live', 'signal-desk')
  await drag(signal, 'w11', 'signal-desk, one of a grid')
}

await chrome.close()
for (const s of servers) s.kill()
process.exit(wrong ? 1 : 0)
