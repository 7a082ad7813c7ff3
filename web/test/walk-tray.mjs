// Walks over the tray, the boards of the Arrange sheet, and what fingers do on a phone: node test/walk-tray.mjs KNOBWRIGHT EXAMPLE.yaml [FOLDER for pictures] [FOLDER of the page]
// Most panels are its own; the example is for what takes a whole one.
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
const desk = `knobwright: 1
title: Two slopes for a marionette stage
units: mm
face: {width: 320, height: 140, sheet: {use: acrylic-3mm, actual: 2.9}}
box: {form: two-slope, front: 60, slope: 12 deg, upper: {height: 110, slope: 40 deg}, walls: birch-ply-9mm}
controls:
  go: {part: push-22mm, at: [60, 60], legend: GO}
  rain: {part: push-16mm, at: [120, 60], legend: RAIN}
  wind: {part: push-16mm, at: [180, 64], legend: WIND}
  lamp: {part: lamp-5mm-holder, at: [250, 110], legend: LAMP, sends: follows wind}
  fog: {part: toggle-mini-2, legend: FOG}   # where?
  snow: {part: toggle-mini-2, legend: SNOW}
  hum: {legend: HUM}
  far: {part: pot-16mm, at: [100, 60], on: upper, legend: FAR}
  near: {part: pot-16mm, at: [140, 66], on: upper, legend: NEAR}
  moon: {part: push-16mm, on: upper, legend: MOON}
`
let wrong = 0
const say = (ok, what) => {
  console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`)
  if (!ok) wrong++
}
const servers = []
async function opened(text) {
  const file = join(mkdtempSync(join(tmpdir(), 'walk-')), 'panel.yaml')
  writeFileSync(file, text)
  const server = spawn(tool, ['open', '--stay', ...(built ? ['--page', built] : []), file])
  servers.push(server)
  const link = await new Promise((done, fail) => {
    server.stdout.on('data', (d) => {
      const m = /http:\S+/.exec(String(d))
      if (m) done(m[0])
    })
    server.on('exit', () => fail(new Error('the program ended')))
  })
  return { link, file, text: () => readFileSync(file, 'utf8') }
}
const chrome = await chromium.launch({ executablePath: browser, args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'] })
async function visit(link, options = {}) {
  const context = await chrome.newContext({ viewport: { width: 1440, height: 900 }, ...options })
  const page = await context.newPage()
  page.on('pageerror', (e) => say(false, 'the page broke: ' + e.message))
  page.on('console', (m) => m.type() === 'error' && !/status of 4(03|09|22)/.test(m.text()) && say(false, 'the console says: ' + m.text()))
  page.on('request', (r) => r.url().startsWith(new URL(link).origin) || r.url().startsWith('data:') || r.url().startsWith('blob:') || say(false, 'asked outside: ' + r.url()))
  await page.goto(link)
  await page.waitForSelector('.control')
  await page.waitForTimeout(300)
  return page
}
const until = async (what, test) => {
  for (let i = 0; i < 400; i++) {
    if (await test()) return say(true, what)
    await new Promise((r) => setTimeout(r, 50))
  }
  say(false, what)
}
const a = await opened(desk)
const page = await visit(a.link)
/** The page has heard of what was done last: nothing of it comes late into the next step. */
const heard = (p = page) =>
  p.waitForFunction(async () => document.querySelector('main')?.dataset.rev === String((await (await fetch('/api/look')).json()).rev), null, { polling: 100, timeout: 30000 }).catch(() => say(false, 'the page has not heard of it'))
const picture = async (name, p = page) => pictures && (await p.screenshot({ path: join(pictures, name + '.png') }))
const sheet = (name, p = page) => p.getByRole('navigation').getByRole('button', { name: new RegExp(name + '$') }).click()
const middle = async (name, p = page) => {
  const b = await p.locator(`[data-name="${name}"] .front`).first().boundingBox()
  return [b.x + b.width / 2, b.y + b.height / 2]
}
const undo = async (p = page, f = a, was = desk) => {
  await p.locator('body').press('Control+z')
  await until('undone, byte for byte', () => f.text() === was)
  await heard(p)
}
async function barriers(what, p) {
  await p.waitForTimeout(300)
  await p.evaluate(axe.source)
  const found = await p.evaluate(() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa'] }))
  const grave = found.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
  say(grave.length === 0, `${what}: no serious barrier` + grave.map((v) => `\n       ${v.id}: ${v.help} ${v.nodes[0].target} ${v.nodes[0].any[0]?.message ?? ''}`).join(''))
}

// the tray: what has no place yet lies beside the face, with what it lacks
const tray = page.getByRole('region', { name: 'In the tray' })
say((await tray.getByRole('button').count()) === 4, 'what has no place yet lies in the tray')
say(/no part yet/.test(await tray.textContent()) && /no place yet, for the upper face/.test(await tray.textContent()), 'each says what it lacks')
await until('with its picture', async () => (await tray.locator('.picture svg').count()) === 3)
await barriers('Face with a tray', page)
await picture('tray')
const item = (name) => tray.getByRole('button', { name: new RegExp('^' + name) })

// with the mouse: carried to the face, put back by Escape, put down
const b = await item('FOG').boundingBox()
const f = await page.locator('svg[aria-label="The face"]').boundingBox()
await page.mouse.move(b.x + 30, b.y + 30)
await page.mouse.down()
await page.mouse.move(b.x + 60, b.y + 40, { steps: 4 })
await page.mouse.move(f.x + f.width * 0.5, f.y + f.height * 0.4, { steps: 8 })
await until('while it is carried its place is shown', async () => (await page.locator('.ghost').count()) === 1)
await picture('tray-carried')
await page.keyboard.press('Escape')
await page.mouse.up()
await page.waitForTimeout(300)
say(a.text() === desk, 'Escape puts it back')
await page.mouse.move(b.x + 30, b.y + 30)
await page.mouse.down()
await page.mouse.move(f.x + f.width * 0.5, f.y + f.height * 0.4, { steps: 10 })
await page.mouse.up()
await until('let go, it stands in the file, and its remark stays', () => /fog: \{part: toggle-mini-2, (legend: FOG, at: \[[\d.]+, [\d.]+\]|at: \[[\d.]+, [\d.]+\], legend: FOG)\} {3}# where\?/.test(a.text()))
await until('and in hand', () => page.getByText('FOG is a', { exact: false }).first().isVisible())
await undo()
await page.mouse.move(b.x + 30, b.y + 30)
await page.mouse.down()
await page.mouse.move(b.x + 30, b.y + 500, { steps: 6 })
await page.mouse.up()
await page.waitForTimeout(200)
say(a.text() === desk, 'let go beside the face, nothing is written')

// by keyboard: taken in hand, placed as typed, or where there is room
await item('FOG').focus()
await page.keyboard.press('Enter')
await page.getByRole('textbox', { name: 'across' }).fill('150')
await page.getByRole('textbox', { name: 'up' }).fill('1 in')
await page.keyboard.press('Enter')
await until('places are taken as they are typed', () => a.text().includes('at: [150, 1 in]'))
await undo()
await item('SNOW').focus()
await page.keyboard.press('Enter')
await page.getByRole('button', { name: 'find it a free place' }).focus()
await page.keyboard.press('Enter')
await until('or a free one is found', () => /snow: .*at: \[/.test(a.text()))
await undo()
await item('MOON').click()
await page.getByRole('textbox', { name: 'across' }).fill('40')
await page.getByRole('textbox', { name: 'up' }).fill('50')
await page.keyboard.press('Enter')
await until('one that is for another board is placed there', () => /moon: .*on: upper.*at: \[40, 50\]|moon: .*at: \[40, 50\].*on: upper/.test(a.text()))
await undo()
await item('HUM').click()
await page.getByRole('button', { name: 'choose its part' }).click()
await page.getByLabel('Which part?').fill('buzzer')
await page.locator('ul[aria-label=Parts][aria-busy=false]').waitFor()
await page.getByRole('button', { name: 'make it HUM' }).first().click()
await until('what has no part is given one', () => /hum: .*part: buzzer/.test(a.text()))
await undo()

// several in hand by keys alone
await sheet('Face')
await page.keyboard.press('Escape')
await page.getByLabel('take several').focus()
await page.keyboard.press('Space')
const reach = async (name) => {
  for (let i = 0; i < 60; i++) {
    if ((await page.evaluate(() => document.activeElement?.getAttribute('data-name'))) === name) return page.keyboard.press('Enter')
    await page.keyboard.press('Tab')
  }
}
await reach('rain')
await reach('wind')
say((await page.locator('.control.hand').count()) === 2, 'keys take several in hand')
await page.getByRole('button', { name: 'middle', exact: true }).focus()
await page.keyboard.press('Enter')
await until('and line them up', () => a.text().includes('at: [180, 60]'))
await undo()
await page.getByLabel('take several').focus()
await page.keyboard.press('Space')

// what a lamp went by is told when it is taken out
await sheet('Face')
await page.mouse.click(...(await middle('wind')))
await page.keyboard.press('Delete')
await until('a lamp that went by what is gone is told', () => page.getByText('LAMP went by it', { exact: false }).isVisible())
say(!a.text().includes('follows wind'), 'and its words are out of the file')
await page.getByRole('button', { name: 'I see' }).click()
await undo()

// each sheet says what can be done there, and what view it is
for (const [name, hint, view] of [['Face', /Touch a control/, 'FRONT'], ['Arrange', /Nothing is written/, 'FRONT'], ['Packet', /papers are made/, ''], ['File', /is one text/, ''], ['Box', /Touch a part/, ''], ['Behind', /left and right/, 'REAR']]) {
  await sheet(name)
  await page.keyboard.press('Escape')
  await until(`${name}: the hint fits the sheet`, async () => {
    const t = await page.locator('header').textContent()
    return hint.test(t) && (name === 'Face' || !/Touch a control/.test(t))
  })
  say(((await page.locator('footer .view').count()) ? await page.locator('footer .view').textContent() : '') === view, `${name}: ${view || 'no view'} is written below`)
}

// another board is arranged
await sheet('Arrange')
await page.getByRole('combobox', { name: 'The board to arrange' }).selectOption('upper')
await page.getByRole('button', { name: 'Arrange', exact: true }).click()
await until('the upper face is arranged', async () => (await page.locator('.proposals article').count()) > 0)
await picture('arrange-upper')
await barriers('Arrange with boards', page)
await page.getByRole('button', { name: /^Take 1/ }).click()
await until('what had no place there has one', () => /moon: .*at: \[/.test(a.text()))
say(a.text().includes('go: {part: push-22mm, at: [60, 60], legend: GO}') && !/fog: .*at:/.test(a.text()), 'and what is on the face is as it was')
await page.locator('body').click({ position: { x: 2, y: 2 } })
await undo()

// the packet: every document can be looked at here, and kept
await sheet('Packet')
await until('the papers are listed', async () => (await page.locator('section tbody tr').count()) > 10)
const papers = await page.locator('section tbody tr td:first-child button').allTextContents()
for (const name of papers) {
  await page.getByRole('button', { name, exact: true }).click()
  const region = page.getByRole('region', { name, exact: true })
  let how = ''
  for (let i = 0; i < 100 && !how; i++) {
    how = await region.evaluate((r) => {
      const img = r.querySelector('img')
      if (img) return img.complete && img.naturalWidth > 0 ? 'drawn' : ''
      if (r.querySelector('pre')?.textContent.length > 10) return 'read'
      if (r.querySelectorAll('td').length > 1) return [...r.querySelectorAll('tr')].every((t) => t.children.length === r.querySelector('tr').children.length) ? 'a table' : ''
      const f = r.querySelector('iframe')
      if (f) return 'framed'
      return /shows the same|flashing.txt/.test(r.textContent) ? 'told where' : ''
    })
    if (!how) await page.waitForTimeout(50)
  }
  say(how !== '' && (name !== 'template.pdf' || how === 'drawn'), `${name} can be looked at: ${how}`)
  if (how === 'framed') {
    let inside = 0
    for (let i = 0; i < 60 && inside < 3; i++) {
      inside = /html$/.test(name) ? await page.frameLocator('iframe').locator('h1, h2, p').count().catch(() => 0) : page.frames().some((f) => f.url().includes('/api/papers/')) ? 3 : 0
      await page.waitForTimeout(50)
    }
    say(inside >= 3, `${name}: the frame holds it`)
  }
  if (name === 'template.pdf' || name === 'parts.csv') await picture('packet-' + name)
}
const [kept] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name: 'keep a copy of template.pdf' }).click()])
say(kept.suggestedFilename() === 'template.pdf' && readFileSync(await kept.path()).subarray(0, 5).toString() === '%PDF-', 'one can be kept')
const [all] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name: /^Keep all/ }).click()])
say(all.suggestedFilename() === 'panel-packet.zip' && readFileSync(await all.path()).subarray(0, 2).toString() === 'PK', 'and all of them in one file')
await barriers('Packet with a paper', page)
await page.getByRole('button', { name: 'parts.csv', exact: true }).click()
await page.waitForSelector('.sheet td')
await barriers('Packet with a spreadsheet', page)

// both sides of a clash can be read by who has no pointer
await sheet('File')
await page.waitForSelector('.cm-content')
await page.locator('.cm-content').click()
await page.keyboard.press('Control+End')
await page.keyboard.type('# mine', { delay: 0 })
writeFileSync(a.file, desk + '# theirs\n' + '# and more\n'.repeat(200))
await until('a clash is shown', () => page.locator('dialog').isVisible())
await barriers('A clash', page)
await picture('clash')
if (await page.locator('dialog').isVisible()) await page.getByRole('button', { name: /^Keep the file/ }).click()
await until('once one is taken nothing more is said of it', async () => (await page.locator('dialog').count()) === 0 && (await page.locator('.told .said').count()) === 0)
writeFileSync(a.file, desk)
await page.context().close()

// a phone, by touch alone
const touch = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true }
const x = await opened(desk)
const phone = await visit(x.link, touch)
async function drag(from, to, page = phone, steps = 8) {
  const cdp = await page.context().newCDPSession(page)
  await cdp.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x: from[0], y: from[1] }] })
  for (let i = 1; i <= steps; i++) await cdp.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: [{ x: from[0] + ((to[0] - from[0]) * i) / steps, y: from[1] + ((to[1] - from[1]) * i) / steps }] })
  await page.waitForTimeout(150)
  await cdp.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] })
}
const box = async (l) => {
  await l.scrollIntoViewIfNeeded()
  const r = await l.boundingBox()
  return [r.x + r.width / 2, r.y + r.height / 2]
}
await picture('phone-tray', phone)
say((await phone.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 1, 'a phone needs no sideways scrolling')
await barriers('Face with a tray on a phone', phone)
const fp = await phone.locator('svg[aria-label="The face"]').boundingBox()
const it = await box(phone.getByRole('region', { name: 'In the tray' }).getByRole('button', { name: /^FOG/ }))
const onFace = async () => {
  const r = await phone.locator('svg[aria-label="The face"]').boundingBox()
  return [r.x + r.width * 0.5, r.y + r.height * 0.6]
}
say(fp !== null && fp.y < 844, 'the face is in sight beside the tray')
await drag(it, await onFace())
await until('a finger carries it to the face', () => /fog: .*at: \[/.test(x.text()))
await undo(phone, x)
const go = await middle('go', phone)
await drag(go, [go[0] + 30, go[1] - 6])
await until('a finger drags a control', () => !x.text().includes('at: [60, 60]'))
await undo(phone, x)
await phone.touchscreen.tap(...(await middle('go', phone)))
await phone.getByText('take several').first().tap()
await phone.touchscreen.tap(...(await middle('rain', phone)))
await phone.touchscreen.tap(...(await middle('wind', phone)))
say((await phone.locator('.control.hand').count()) === 3, 'a finger takes several in hand')
await picture('phone-several', phone)
await phone.getByRole('button', { name: 'middle', exact: true }).tap()
await until('and lines them up', () => x.text().includes('at: [180, 60]'))
await undo(phone, x)
await phone.getByText('take several').first().tap()
await sheet('Parts', phone)
await phone.getByLabel('Which part?').fill('key switch')
await until('parts are found on a phone', async () => (await phone.locator('li b').count()) > 0 && /[Kk]ey/.test(await phone.locator('li b').first().textContent()))
await phone.getByRole('button', { name: 'put it on the face' }).first().tap()
await until('and put on the face', () => /part: key-/.test(x.text()))
await undo(phone, x)
await sheet('Arrange', phone)
await phone.getByRole('button', { name: 'Arrange', exact: true }).tap()
await until('a phone arranges', async () => (await phone.locator('.proposals article').count()) > 0)
await phone.getByRole('button', { name: /^Take 1/ }).tap()
await until('and takes what it likes', () => x.text() !== desk)
await undo(phone, x)
await sheet('Packet', phone)
await until('papers are listed on a phone', async () => (await phone.locator('tbody tr').count()) > 10)
await picture('phone-packet', phone)
await phone.getByRole('button', { name: 'drilling.pdf' }).tap()
await until('and read there', async () => phone.locator('.paper img').first().evaluate((i) => i.complete && i.naturalWidth > 0 && i.getBoundingClientRect().top < 844).catch(() => false))
await picture('phone-paper', phone)
say((await phone.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 1, 'without sideways scrolling')
await phone.getByRole('button', { name: 'Put it back' }).tap()
await phone.context().close()

// behind, on a phone: the wires are in reach of a finger
const whole = await opened(readFileSync(example, 'utf8'))
const rear = await visit(whole.link, touch)
await sheet('Behind', rear)
await rear.waitForSelector('section li button')
const wire = rear.locator('section li button').nth(3)
const said = /W\d+/.exec(await wire.textContent())[0]
await wire.tap({ timeout: 3000 }).catch(() => {})
await until('a finger follows a wire', () => rear.locator('.sentence', { hasText: said }).first().isVisible())
await picture('phone-behind', rear)
await barriers('Behind on a phone', rear)
await rear.getByRole('button', { name: /^next wire/ }).tap()
await until('and goes on to the next one', async () => !(await rear.locator('.sentence').first().textContent()).startsWith(said))

// a rib is pulled level by a finger: nothing moves under it
await sheet('Press', rear)
await rear.waitForSelector('.rib')
await rear.waitForSelector('.map svg[aria-busy="false"]')
await rear.locator('.rib').first().scrollIntoViewIfNeeded()
const rib = await rear.locator('.rib').first().boundingBox()
await drag([rib.x + rib.width / 2, rib.y + rib.height * 0.75], [rib.x + rib.width / 2 - 12, rib.y + rib.height * 0.75], rear)
await until('a finger pulls a rib, and only the way it goes', () => /middle: \{from: \[(?!266)[\d.]+, 9\.2\], to: \[(?!266)[\d.]+, 262\.8\]/.test(whole.text()))
await rear.context().close()

// a file that only has a title: the face is asked for its size, and begun
const bare = 'knobwright: 1\ntitle: Nothing yet   # to begin with\n'
const e = await opened(bare)
const first = await (await chrome.newContext({ viewport: { width: 1440, height: 900 } })).newPage()
first.on('pageerror', (x) => say(false, 'the page broke: ' + x.message))
await first.goto(e.link)
await first.waitForSelector('nav button')
await sheet('Behind', first)
say((await first.locator('.datum').count()) === 0, 'nothing is drawn of a face without a size')
await sheet('Face', first)
await first.getByRole('textbox', { name: 'width of the face' }).fill('wide')
await first.getByRole('textbox', { name: 'height of the face' }).fill('160')
await first.keyboard.press('Enter')
await until('what is no length is refused', () => first.locator('.said').isVisible())
say(e.text() === bare, 'and nothing is written')
await first.getByRole('textbox', { name: 'width of the face' }).fill('30,5 cm')
await first.keyboard.press('Enter')
await until('a face is begun by its size', () => e.text() === bare + 'face:\n  width: 30.5 cm\n  height: 160\n')
await until('and drawn', () => first.locator('svg[aria-label="The face"]').isVisible())
await barriers('A face that is begun', first)
await picture('begun', first)

await chrome.close()
for (const s of servers) s.kill()
process.exit(wrong ? 1 : 0)
