// Walks through the Arrange sheet with a real browser: node test/walk-arrange.mjs KNOBWRIGHT EXAMPLE.yaml [FOLDER for pictures] [PAGE folder]
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
const chrome = await chromium.launch({ executablePath: browser, args: ['--no-sandbox'] })
const page = await chrome.newPage({ viewport: { width: 1440, height: 900 } })
let wrong = 0
const say = (ok, what) => {
  console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`)
  if (!ok) wrong++
}
page.on('pageerror', (e) => say(false, 'the page broke: ' + e.message))
page.on('console', (m) => m.type() === 'error' && !/status of 4(09|22)/.test(m.text()) && say(false, 'the console says: ' + m.text()))
page.on('request', (r) => r.url().startsWith(new URL(link).origin) || r.url().startsWith('data:') || say(false, 'asked outside: ' + r.url()))
const until = async (what, test, tries = 400) => {
  for (let i = 0; i < tries; i++) {
    if (await test()) return say(true, what)
    await page.waitForTimeout(50)
  }
  say(false, what)
}
const picture = async (name) => pictures && (await page.screenshot({ path: join(pictures, name + '.png') }))
const sheet = (name) => page.getByRole('navigation').getByRole('button', { name: new RegExp(name + '$') }).click()

await page.goto(link)
await page.waitForSelector('.control')
await sheet('Arrange')
await page.waitForSelector('.arranging')
await picture('arrange-start')

// it can be called off, and nothing is written
await page.getByRole('button', { name: 'Arrange', exact: true }).click()
await until('it says how far it is', () => page.getByRole('progressbar', { name: 'How far it is' }).isVisible())
await page.getByRole('button', { name: 'Call it off' }).click()
await until('called off', () => page.getByText('Called off.', { exact: false }).first().isVisible())
say((await page.locator('.proposals article').count()) === 0 && text() === original, 'nothing is proposed and nothing written')

// three proposals to choose from
const began = Date.now()
await page.getByRole('button', { name: 'Arrange', exact: true }).click()
await until('three proposals are drawn', async () => (await page.locator('.proposals article').count()) === 3, 600)
console.log(`     three proposals after ${Date.now() - began} ms`)
await picture('arrange')
const names = await page.locator('.proposals h2').allTextContents()
say(new Set(names).size >= 2, 'they look for different things: ' + names.join('; '))
say(text() === original, 'nothing is written before one is taken')
const sums = await page.locator('.proposals article').evaluateAll((as) => as.map((a) => a.querySelector('.sum td:last-child').textContent))
say(sums.every((s) => Number(s) >= 0), 'each tells its score: ' + sums.join(', '))

// they are still there when one comes back
await sheet('Face')
await page.waitForSelector('.control')
await sheet('Arrange')
await until('they are still there', async () => (await page.locator('.proposals article').count()) === 3)

// no barrier
await page.evaluate(axe.source)
for (const lamp of ['on', 'off']) {
  const is = await page.evaluate(() => document.documentElement.dataset.lamp)
  if (is !== lamp) await page.getByRole('button', { name: /^Lamp/ }).click()
  await page.waitForTimeout(300)
  const found = await page.evaluate(() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa'] }))
  const grave = found.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
  say(grave.length === 0, `lamp ${lamp}: no serious barrier` + grave.map((v) => `\n       ${v.id}: ${v.help} ${v.nodes.map((n) => n.target + ' ' + n.failureSummary).join('\n         ')}`).join(''))
  if (lamp === 'off') await picture('arrange-dark')
}
await page.getByRole('button', { name: /^Lamp/ }).click()

// take one: one step, and one step back; by keyboard
await page.getByRole('button', { name: /^Take 2/ }).focus()
await page.keyboard.press('Enter')
await until('it is in the file', () => text() !== original)
await until('and said so', () => page.getByText('is in the file', { exact: false }).first().isVisible())
const comments = (s) => s.split('\n').filter((l) => l.includes('#')).map((l) => l.slice(l.indexOf('#'))).join('\n')
say(comments(text()) === comments(original) && text().split('\n').length === original.split('\n').length, 'comments and lines are as they were')
await picture('arrange-taken')
const second = text()
await page.getByRole('button', { name: /^Take 3/ }).click()
await until('another one can be taken instead', async () => text() !== second && (await page.getByText('This one is in the file.').count()) === 1)
await page.getByRole('button', { name: /^Take 2/ }).click()
await until('and the first one again, byte for byte', () => text() === second)
await page.locator('body').click({ position: { x: 2, y: 2 } })
await page.keyboard.press('Control+z')
await until('one step back brings the file back, byte for byte', () => text() === original)
await until('then the proposals are old, and say so', () => page.getByText('Old: arranged before the file changed.').isVisible())
say(await page.getByRole('button', { name: /^Take 1/ }).isDisabled(), 'an old one cannot be taken')

// what is named stays
const name = /^ {2}([a-z]+): \{part: [^}]*at: \[/m.exec(original)?.[1]
if (name) {
  await page.getByLabel('Controls and groups that stay, by name').fill(name)
  await page.keyboard.press('Enter')
  await until(`${name} stays`, async () => (await page.locator('summary').count()) > 0 && (await page.locator('details li').allTextContents()).join(' ').includes('you keep it'), 600)
  await page.getByLabel('Controls and groups that stay, by name').fill('nobody-at-all')
  await page.keyboard.press('Enter')
  await until('a name that there is not is told', () => page.getByText('nobody-at-all', { exact: false }).first().isVisible())
  await page.getByLabel('Controls and groups that stay, by name').fill('')
}

// on a phone
await page.setViewportSize({ width: 412, height: 860 })
await page.waitForTimeout(300)
say((await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 1, 'a phone needs no sideways scrolling')
await picture('arrange-phone')
await page.setViewportSize({ width: 1440, height: 900 })

// a face that cannot hold its controls
let many = 'knobwright: 1\ntitle: Too much\nface: {width: 120, height: 80, sheet: aluminium-2mm}\ncontrols:\n'
for (let i = 0; i < 20; i++) many += `  b${i}: {part: push-30mm, at: [60, 40]}\n`
writeFileSync(file, many)
await until('another file is open', () => page.getByText('Too much').first().isVisible())
await page.getByRole('button', { name: 'Arrange anew' }).click()
await until('what cannot fit is said with its area', () => page.getByText(/too much\. Make the face larger/).first().isVisible(), 600)
await picture('arrange-hopeless')

await chrome.close()
server.kill()
process.exit(wrong ? 1 : 0)
