// Walks through the Steps sheet with a real browser, at the desk and on a phone: node test/walk-steps.mjs KNOBWRIGHT EXAMPLE.yaml [FOLDER for pictures] [FOLDER of a built page]
import axe from 'axe-core'
import { spawn } from 'node:child_process'
import { copyFileSync, existsSync, mkdtempSync, readFileSync } from 'node:fs'
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
const record = file.replace('.yaml', '.record.yaml')
const original = readFileSync(file, 'utf8')
const ticks = () => (existsSync(record) ? readFileSync(record, 'utf8') : '')
const server = spawn(tool, ['open', '--stay', ...(built ? ['--page', built] : []), file])
const link = await new Promise((done, fail) => {
  server.stdout.on('data', (d) => {
    const m = /http:\S+/.exec(String(d))
    if (m) done(m[0])
  })
  server.on('exit', () => fail(new Error('the program ended')))
})
const chrome = await chromium.launch({ executablePath: browser, args: ['--no-sandbox'] })
let wrong = 0
const say = (ok, what) => {
  console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`)
  if (!ok) wrong++
}
const context = await chrome.newContext({ viewport: { width: 1440, height: 900 } })
const watch = (page) => {
  page.on('pageerror', (e) => say(false, 'the page broke: ' + e.message))
  page.on('console', (m) => m.type() === 'error' && !/status of 4(04|09|22)/.test(m.text()) && say(false, 'the console says: ' + m.text()))
  page.on('request', (r) => r.url().startsWith(new URL(link).origin) || /^(data|blob):/.test(r.url()) || say(false, 'asked outside: ' + r.url()))
  return page
}
const page = watch(await context.newPage())
const until = async (what, test, p = page) => {
  for (let i = 0; i < 400; i++) {
    if (await test()) return say(true, what)
    await p.waitForTimeout(50)
  }
  say(false, what)
}
const picture = async (name, p = page) => pictures && (await p.screenshot({ path: join(pictures, name + '.png') }))
const audit = async (what, p = page) => {
  await p.evaluate(axe.source)
  const r = await p.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }))
  const bad = r.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
  say(bad.length === 0, `${what}: no serious violation${bad.map((v) => ` ${v.id}: ${v.nodes[0].html}`).join(';')}`)
}
const tickButton = (p) => p.locator('.tick')
const rows = (p) => p.locator('.list .row')

await page.goto(link)
await page.waitForSelector('.control')
await page.getByRole('navigation').getByRole('button', { name: /Steps$/ }).click()
await page.waitForSelector('.list .row')
const n = await rows(page).count()
say(n > 12, `${n} steps in their order`)
say(/at the bench in \d+ sessions/.test(await page.locator('.sum').innerText()), 'it says how long all takes')
say((await page.locator('.bars .bar').count()) > 1, 'the sessions are bars')
await picture('steps')

// the first step, line by line
const lines = Number(/\/ (\d+)/.exec(await page.locator('.count').innerText())[1])
for (let i = 0; i < lines; i++) {
  await tickButton(page).click()
  await until(`line ${i + 1} of ${lines} is ticked off`, async () => (i + 1 < lines ? (await page.locator('.count').innerText()).startsWith(`${i + 1} /`) : (await page.locator('.count').innerText()).startsWith(`${lines} /`)))
}
await tickButton(page).click()
await until('the step is ticked off, and the next one is shown', async () => (await page.locator('.row.past').count()) === 1 && (await page.locator('.row.here').innerText()).includes('Measure'))
say(/shop:/.test(ticks()), 'the tick stands in the record')
say(readFileSync(file, 'utf8') === original, 'the panel file is as it was')
await page.reload()
await page.waitForSelector('.control, .list .row')
if (!(await page.locator('.list .row').count())) await page.getByRole('navigation').getByRole('button', { name: /Steps$/ }).click()
await until('ticks are there after a reload', async () => (await page.locator('.row.past').count()) === 1)

// drilling: the number for the hand
await rows(page).filter({ hasText: 'Drill the face' }).click()
await page.waitForSelector('.big')
say((await page.locator('dd').count()) === 2 && /\d/.test(await page.locator('.big').innerText()), 'a hole has its size and its place from two edges')
say(/cannot be undone/.test(await page.locator('.before').innerText()) && /FRONT up/.test(await page.locator('.before').innerText()), 'what cannot be undone has its check just before')
say((await page.locator('.caution').count()) > 1, 'cautions stand at the step')
say((await page.locator('.missing').innerText()).includes('template'), 'it says what comes before and is not ticked off')
await picture('steps-drill')
await audit('at the desk')
await page.getByRole('button', { name: 'Deutsch' }).click()
await until('in German', async () => (await page.locator('.step').innerText()).includes('Schutzbrille'))
await picture('steps-de')
await page.getByRole('button', { name: 'English' }).click()
await page.getByRole('button', { name: /^Lamp/ }).click()
await audit('with the lamp off')
await picture('steps-dark')

// a phone beside it: ticks are seen on both
const key = new URL(link)
const phone = watch(await (await chrome.newContext({ viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true })).newPage())
await phone.goto(key.href)
await phone.waitForSelector('main')
await phone.getByRole('navigation').getByRole('button', { name: /Steps$/ }).tap()
await phone.waitForSelector('.tick')
say((await phone.evaluate(() => document.documentElement.scrollWidth)) <= 390, 'nothing is wider than the phone')
await phone.getByRole('button', { name: 'All steps' }).tap()
await phone.locator('.list.shown .row').filter({ hasText: 'Drill the face' }).tap()
await phone.waitForSelector('.big')
say((await phone.evaluate(() => document.documentElement.scrollWidth)) <= 390, 'nor the step with its number')
const b = await tickButton(phone).boundingBox()
say(b.height >= 112 && b.width >= 340, `the tick is ${Math.round(b.width)} by ${Math.round(b.height)} px`)
const three = await phone.locator('.three button').evaluateAll((bs) => bs.map((x) => Math.round(x.getBoundingClientRect().height)))
say(three.every((h) => h >= 56), `the three below it are ${three} px tall`)
const seen = (await tickButton(phone).boundingBox()).y
say(seen > 0 && seen + 112 <= 844, 'the tick is in reach without scrolling')
if (pictures) await phone.screenshot({ path: join(pictures, 'steps-phone.png'), fullPage: true })
const hole = await phone.locator('.step .name').innerText()
await tickButton(phone).tap()
await until('a hole is ticked off on the phone, the next one is shown', async () => (await phone.locator('.count').innerText()).startsWith('1 /'), phone)
console.log(`     from ${hole.replace(/\s+/g, ' ')} to ${(await phone.locator('.step .name').innerText()).replace(/\s+/g, ' ')}`)
await until('the desk sees it too', async () => (await page.locator('.count').innerText()).startsWith('1 /'))
await phone.getByRole('button', { name: 'Later' }).tap()
await phone.getByRole('button', { name: 'It went wrong' }).tap()
say((await phone.locator('.hands').innerText()).includes('knobwright mishap'), 'a mishap has its way out')
await phone.getByRole('button', { name: 'Back' }).tap()
await until('back takes the last tick back', async () => (await phone.locator('.count').innerText()).startsWith('0 /'), phone)
await phone.reload()
await phone.waitForSelector('main')
await phone.getByRole('navigation').getByRole('button', { name: /Steps$/ }).tap()
await until('after a reload the phone is at the same step', async () => (await phone.locator('.tick').count()) === 1 && (await phone.locator('.step').innerText()).includes('FRONT up'), phone)
await audit('on the phone', phone)

await chrome.close()
server.kill()
console.log(wrong ? `${wrong} wrong` : 'all well')
process.exit(wrong ? 1 : 0)
