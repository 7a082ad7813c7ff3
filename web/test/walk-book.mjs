// Reads the build book with a real browser, as a file and without a network: node test/walk-book.mjs KNOBWRIGHT EXAMPLE.yaml [FOLDER for pictures]
import axe from 'axe-core'
import { execFileSync } from 'node:child_process'
import { copyFileSync, existsSync, mkdtempSync, readFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium } from 'playwright-core'

const [tool, example, pictures] = process.argv.slice(2)
let wrong = 0
const say = (ok, what) => {
  console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`)
  if (!ok) wrong++
}
const folder = mkdtempSync(join(tmpdir(), 'walk-book-'))
copyFileSync(example, join(folder, 'panel.yaml'))
const books = [
  ['en', 'mm'],
  ['de', 'both'],
].map(([lang, units]) => {
  const file = join(folder, `book-${lang}.html`)
  execFileSync(tool, ['book', 'panel.yaml', '--lang', lang, '--units', units, '-o', file], { cwd: folder, stdio: 'pipe' })
  return [lang, file]
})

try {
  const { HtmlValidate } = await import('html-validate')
  const judge = new HtmlValidate({ extends: ['html-validate:standard'], rules: { 'no-inline-style': 'off', 'long-title': 'off' } })
  for (const [lang, file] of books) {
    const report = await judge.validateString(readFileSync(file, 'utf8'))
    for (const m of report.results.flatMap((r) => r.messages).slice(0, 5)) console.log(`     line ${m.line}: ${m.message} (${m.ruleId})`)
    say(report.valid, `${lang}: the page is valid HTML`)
  }
} catch (e) {
  if (e.code !== 'ERR_MODULE_NOT_FOUND') throw e
  console.log('SKIPPED: html-validate is not installed')
}

const browser = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync)
if (!browser) {
  console.log('SKIPPED: no Chromium on this machine')
  process.exit(wrong ? 1 : 0)
}
const chrome = await chromium.launch({ executablePath: browser, args: ['--no-sandbox'] })
for (const [lang, file] of books) {
  const context = await chrome.newContext({ viewport: { width: 390, height: 844 }, offline: true, bypassCSP: true })
  const page = await context.newPage()
  const asked = []
  page.on('request', (r) => r.url().startsWith('file:') || r.url().startsWith('data:') || asked.push(r.url()))
  page.on('console', (m) => m.type() === 'error' && say(false, `${lang}: the console says: ${m.text()}`))
  await page.goto('file://' + file)
  say((await page.getAttribute('html', 'lang')) === lang, `${lang}: the page says its language`)
  say((await page.evaluate(() => document.documentElement.scrollWidth)) <= 390, `${lang}: 390 px are wide enough`)
  const loose = await page.evaluate(() => [...document.querySelectorAll('a[href], use[href]')].map((a) => a.getAttribute('href')).filter((h) => !h.startsWith('#') || !document.getElementById(h.slice(1))))
  say(loose.length === 0, `${lang}: every link leads somewhere in the page ${loose.slice(0, 3)}`)
  const small = await page.evaluate(() => [...document.querySelectorAll('p, li, td, th')].filter((e) => e.textContent.trim() && parseFloat(getComputedStyle(e).fontSize) < 13).length)
  say(small === 0, `${lang}: no words below 13 px`)
  if (pictures) await page.screenshot({ path: join(pictures, `book-${lang}-phone.png`) })
  if (pictures) {
    await page.evaluate(() => document.getElementById('wiring')?.scrollIntoView())
    await page.screenshot({ path: join(pictures, `book-${lang}-phone-wiring.png`) })
    await page.evaluate(() => document.getElementById('drilling')?.scrollIntoView())
    await page.screenshot({ path: join(pictures, `book-${lang}-phone-drilling.png`) })
  }
  for (const width of [390, 1200]) {
    await page.setViewportSize({ width, height: 900 })
    await page.addScriptTag({ content: axe.source })
    const found = await page.evaluate(() => axe.run(document, { resultTypes: ['violations'] }))
    const grave = found.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
    for (const v of found.violations) console.log(`     ${v.impact}: ${v.id}, ${v.nodes.length} times, first ${v.nodes[0].html.slice(0, 120)}`)
    say(grave.length === 0, `${lang}: axe finds nothing serious at ${width} px`)
  }
  if (pictures) {
    await page.evaluate(() => scrollTo(0, 0))
    await page.screenshot({ path: join(pictures, `book-${lang}-wide.png`) })
    await page.evaluate(() => document.getElementById('box')?.scrollIntoView())
    await page.screenshot({ path: join(pictures, `book-${lang}-wide-box.png`) })
  }
  await page.emulateMedia({ media: 'print' })
  const pdf = await page.pdf({ format: 'A4', path: pictures ? join(pictures, `book-${lang}-print.pdf`) : undefined })
  say(pdf.length > 10000, `${lang}: it prints`)
  say(asked.length === 0, `${lang}: nothing is asked of the outside ${asked.slice(0, 2)}`)
  await context.close()
}
await chrome.close()
process.exit(wrong ? 1 : 0)
