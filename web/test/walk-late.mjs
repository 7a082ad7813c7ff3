// Late news meets a busy hand: answers that come late, out of order or never, and saves of another editor, while somebody types, drags,
// presses twice or goes to another sheet: node test/walk-late.mjs KNOBWRIGHT EXAMPLE.yaml [FOLDER for pictures, not used] [FOLDER of a built page]
import { spawn } from 'node:child_process'
import { copyFileSync, existsSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium } from 'playwright-core'

const [tool, example, , built] = process.argv.slice(2)
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
const until = async (what, test, tries = 300) => {
  for (let i = 0; i < tries; i++) {
    if (await test()) return say(true, what)
    await new Promise((r) => setTimeout(r, 50))
  }
  say(false, what)
}
const servers = []
const chrome = await chromium.launch({ executablePath: browser, args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'] })

/** One scene; one that does not come to its end leaves the others alone. */
async function scene(what, play) {
  try {
    await play()
  } catch (e) {
    say(false, `${what}: ${String(e.message).split('\n')[0]}`)
  }
}
/** A panel of its own, open in a page of its own. */
async function desk(change = (s) => s, options = {}, before = async () => {}) {
  const file = join(mkdtempSync(join(tmpdir(), 'walk-')), 'panel.yaml')
  copyFileSync(example, file)
  writeFileSync(file, change(readFileSync(file, 'utf8')))
  const server = spawn(tool, ['open', '--stay', ...(built ? ['--page', built] : []), file])
  servers.push(server)
  const link = await new Promise((done, fail) => {
    server.stdout.on('data', (d) => {
      const m = /http:\S+/.exec(String(d))
      if (m) done(m[0])
    })
    server.on('exit', () => fail(new Error('the program ended')))
  })
  const context = await chrome.newContext({ viewport: { width: 1440, height: 900 }, ...options })
  context.setDefaultTimeout(15000)
  const page = await context.newPage()
  page.on('pageerror', (e) => say(false, 'the page broke: ' + e.message))
  page.on('console', (m) => m.type() === 'error' && !/status of 4(04|09|22)|net::ERR_FAILED/.test(m.text()) && say(false, 'the console says: ' + m.text()))
  const d = { file, page, original: readFileSync(file, 'utf8'), text: () => readFileSync(file, 'utf8') }
  d.write = (s) => writeFileSync(file, s)
  d.line = (name) => d.text().split('\n').find((l) => new RegExp(`^ +${name}:`).test(l)) ?? ''
  d.sheet = (name) => page.getByRole('navigation').getByRole('button', { name: new RegExp(name + '$') }).click()
  d.middle = async (name) => {
    const b = await page.locator(`[data-name="${name}"] .front`).first().boundingBox()
    return [b.x + b.width / 2, b.y + b.height / 2]
  }
  d.take = async (name) => {
    await page.mouse.click(...(await d.middle(name)))
    await page.locator(`[data-name="${name}"].hand`).waitFor()
  }
  d.rev = () => page.evaluate(async () => (await (await fetch('/api/look?of=walk')).json()).rev)
  d.look = () => page.evaluate(async () => (await fetch('/api/look?of=walk')).json())
  /** Another editor saves; when this is over the program knows it. */
  d.save = async (text) => {
    const was = await d.rev()
    writeFileSync(file, text)
    for (let i = 0; i < 200 && (await d.rev()) === was; i++) await new Promise((r) => setTimeout(r, 50))
  }
  /** The page has heard of what was done last. */
  d.heard = async () => {
    for (let i = 0; i < 400 && (await page.locator('main').getAttribute('data-rev')) !== String(await d.rev()); i++) await new Promise((r) => setTimeout(r, 50))
  }
  d.place = async (name) => {
    const c = (await d.look()).controls.find((c) => c.name === name)
    return c && [c.x, c.y]
  }
  /** Answers are held back until they are let go: each question is answered by the program at once, and waits then. */
  d.hold = async (path, which = '') => {
    const waiting = []
    let holding = true
    let came = 0
    const held = async (route) => {
      const answer = await route.fetch().catch(() => null)
      came++
      if (holding) await new Promise((go) => waiting.push(go))
      await (answer ? route.fulfill({ response: answer }) : route.abort()).catch(() => {})
    }
    await page.route((u) => u.pathname === path && u.search !== '?of=walk' && u.search.includes(which), held)
    return {
      came: () => came,
      /** When this is over, the page has what was let go, and has drawn it. */
      given: async () => {
        await page.evaluate(() => new Promise((go) => setTimeout(() => requestAnimationFrame(() => requestAnimationFrame(go)), 100)))
      },
      waits: (n = 1) => until(`     (${path}: ${n} waits)`, () => waiting.length >= n),
      one: () => waiting.shift()?.(),
      go: () => {
        holding = false
        for (const go of waiting.splice(0)) go()
      },
    }
  }
  d.close = async () => {
    await context.close()
    server.kill()
  }
  await before(page)
  await page.goto(link)
  await page.locator('.control').first().waitFor()
  return d
}
const blank = (d, name) => d.page.getByRole('textbox', { name, exact: true })

await scene('blanks of what is in hand', async () => {
  const d = await desk()
  await d.take('house')
  await blank(d, 'up').fill('210')
  await d.page.mouse.click(...(await d.middle('stage'))) // which stands as high as the first one did
  await until('what is written goes to what it was written for, when something else is taken in hand', () => d.line('house').includes('210'))
  say(d.line('stage').includes('at: [240, 214]'), 'and not to what was taken')
  await d.take('go')
  await blank(d, 'up').fill('75')
  await d.page.mouse.click(...(await d.middle('standby')))
  await until('also when that stands elsewhere', () => d.line('go').includes('75]') && d.line('standby').includes('at: [308, 68]'))
  await d.take('standby')
  await blank(d, 'across').fill('305')
  await d.save(d.text().replace('standby: {part: push-22mm-lit, at: [308, 68]', 'standby: {part: push-22mm-lit, at: [309, 66]'))
  await until('a save of another editor comes while one types', async () => (await blank(d, 'up').inputValue()) === '66')
  say((await blank(d, 'across').inputValue()) === '305', 'it leaves what is being typed')
  await d.page.keyboard.press('Enter')
  await until('and what is typed is taken', () => d.line('standby').includes('at: [305, 66]'))
  await until('which is in force then', async () => /305.* across/.test(await d.page.locator('[data-name="standby"]').getAttribute('aria-label')))
  await blank(d, 'across').fill('wide')
  await d.page.keyboard.press('Escape')
  say((await blank(d, 'across').inputValue()) === '305', 'Escape takes back what was typed')
  // the blank goes while one writes: a new name, and a control that another editor takes out
  await d.take('curtain')
  await d.page.getByRole('button', { name: 'rename curtain' }).click()
  await d.page.getByLabel('called').fill('veil')
  await d.page.mouse.click(...(await d.middle('band')))
  await until('a new name goes to what it was written for', () => d.line('veil').includes('toggle-mini-3') && d.line('band') !== '')
  await until('and what was taken meanwhile is in hand', async () => (await d.page.locator('.control.hand').getAttribute('data-name')) === 'band')
  await blank(d, 'up').fill('216')
  await d.save(d.text().replace(/^ +band:.*\n/m, ''))
  await until('what was written for a control that is gone is refused with a sentence', () => d.page.locator('.told [role=alert]').first().isVisible())
  await d.take('standby')
  // a refusal that comes late
  const h = await d.hold('/api/act')
  await blank(d, 'across').fill('wide')
  await d.page.keyboard.press('Enter')
  await h.waits()
  await blank(d, 'across').fill('301')
  h.go()
  await until('a late refusal is said', () => d.page.locator('.told [role=alert]').first().isVisible())
  say((await blank(d, 'across').inputValue()) === '301', 'and leaves what is typed since')
  await d.close()
})

await scene('the hand: late answers do not snatch', async () => {
  const d = await desk()
  await d.take('go')
  const h = await d.hold('/api/act')
  await d.page.getByRole('button', { name: 'copy', exact: true }).click()
  await h.waits()
  await d.take('standby')
  await blank(d, 'across').fill('300')
  h.go()
  await until('a copy comes late', () => d.page.locator('[data-name="go-2"]').count())
  say((await d.page.locator('.control.hand').count()) === 1 && (await blank(d, 'across').inputValue()) === '300', 'what was taken in hand meanwhile stays there, and what is typed too')
  await d.page.keyboard.press('Escape')
  await d.close()
})

await scene('arrow keys and drags while the answer is late', async () => {
  const d = await desk()
  const [x0] = await d.place('go')
  await d.take('go')
  let h = await d.hold('/api/act')
  await d.page.keyboard.press('ArrowRight')
  await h.waits()
  say(await d.page.getByText('being saved').isVisible(), 'what is not answered yet is not said to be saved')
  await d.page.keyboard.press('ArrowRight')
  await d.page.waitForFunction((x) => Number(/translate\(([\d.]+)/.exec(document.querySelector('[data-name="go"]').getAttribute('transform'))[1]) === x, x0 + 1)
  h.one()
  h.go()
  await until('two arrows are two steps, however late the answer is', async () => (await d.place('go'))[0] === x0 + 1)
  await until('in two answers', () => h.came() === 2)
  say((await d.place('go'))[0] === x0 + 1, 'and no more')

  // the hand lets go: the control stays there, and the next one can be dragged
  h = await d.hold('/api/act')
  const at = () => d.page.locator('[data-name="go"]').getAttribute('transform')
  const [gx, gy] = await d.middle('go')
  await d.page.mouse.move(gx, gy)
  await d.page.mouse.down()
  await d.page.mouse.move(gx - 30, gy - 20, { steps: 4 })
  await d.page.mouse.up()
  await h.waits()
  const there = await at()
  await d.page.mouse.move(gx - 90, gy - 60, { steps: 4 })
  say((await at()) === there, 'what was let go does not follow the hand while the answer is under way')
  const [sx, sy] = await d.middle('curtain')
  await d.page.mouse.move(sx, sy)
  await d.page.mouse.down()
  await d.page.mouse.move(sx + 20, sy + 24, { steps: 4 })
  const carried = await d.page.locator('[data-name="curtain"]').getAttribute('transform')
  h.go()
  await until('the answer comes while the next one is dragged', async () => (await d.place('go'))[0] !== x0 + 1 && (await d.page.getByRole('button', { name: /^Undo: move GO/ }).count()) === 1)
  say((await d.page.locator('[data-name="curtain"]').getAttribute('transform')) === carried, 'it stays in the hand')
  await d.page.mouse.move(sx + 24, sy + 28, { steps: 2 })
  await d.page.mouse.up()
  await until('and is put down where the hand lets go', async () => (await d.place('curtain'))[0] !== 238)

  // deleted in haste
  h = await d.hold('/api/act')
  await d.take('phones')
  await d.page.keyboard.press('ArrowDown')
  await d.page.keyboard.press('Delete')
  await h.waits()
  await d.take('band')
  h.go()
  await until('the delete key takes out what was in hand when it was pressed', () => d.line('phones') === '')
  say(d.line('band') !== '', 'and not what was taken in hand since')
  await d.close()
})

await scene('undo in haste takes back what was done last', async () => {
  const d = await desk()
  await d.save(d.original.replace('legend: GO,', 'legend: GO NOW,'))
  await d.page.getByText('GO NOW').first().waitFor()
  const first = d.text()
  await d.take('standby')
  const h = await d.hold('/api/undo')
  await d.page.keyboard.press('ArrowUp')
  await d.page.keyboard.press('Control+z')
  await h.waits()
  h.go()
  await until('undo right after an arrow takes the arrow back', () => d.page.getByRole('button', { name: /^Again: move/ }).isVisible())
  say(d.text() === first, 'and nothing else')
  await d.close()
})

await scene('news of what is known already, a save of another editor, another sheet: in the middle of a drag', async () => {
  const d = await desk()
  const h = await d.hold('/api/look')
  await d.save(d.original + '# theirs\n')
  await h.waits()
  const [gx, gy] = await d.middle('go')
  await d.page.mouse.move(gx, gy)
  await d.page.mouse.down()
  await d.page.mouse.move(gx - 20, gy - 20, { steps: 4 })
  const held = await d.page.locator('[data-name="go"]').getAttribute('transform')
  h.go()
  await until('a save of another editor comes in the middle of a drag', () => d.page.getByRole('button', { name: /^Undo: saved by another/ }).isVisible())
  say((await d.page.locator('[data-name="go"]').getAttribute('transform')) === held, 'the control stays where the hand holds it')
  await until('and what it meets is told on', () => d.page.getByText('While it moves').isVisible())
  await d.page.keyboard.press('2')
  await d.page.getByText('REAR').first().waitFor()
  await d.page.mouse.up()
  await d.sheet('File')
  await until('on another sheet nothing is held any more', async () => (await d.page.getByText('While it moves').count()) === 0 && (await d.page.locator('.margin article').count()) > 0)
  await d.close()
})

await scene('the cut belongs to what is in hand', async () => {
  const d = await desk()
  await d.take('go')
  await d.page.locator('.cut').waitFor()
  const h = await d.hold('/api/cut', 'of=house')
  await d.take('house')
  await h.waits()
  await d.take('standby')
  await until('the cut goes through what is in hand', async () => /^Cut 68 up/.test(await d.page.locator('.cut').getAttribute('aria-label')))
  h.go()
  await h.given()
  say(/^Cut 68 up/.test(await d.page.locator('.cut').getAttribute('aria-label')), 'also when an earlier one comes after it')
  await d.close()
})

await scene('ends of lines', async () => {
  // made on another system: carriage return and line feed, and one line that ends otherwise
  const d = await desk((s) => s.replace(/\n/g, '\r\n').replace('\r\n', '\n'))
  await d.sheet('File')
  const pane = d.page.locator('.cm-content')
  await pane.click()
  await d.page.keyboard.press('Control+End')
  await d.page.keyboard.type('# typed here\n')
  await until('what is typed ends as its neighbours do, and every other byte stays', () => d.text() === d.original + '# typed here\r\n')
  await d.heard()
  await d.page.keyboard.press('Control+Home')
  await d.page.keyboard.type('# above\n')
  await until('also above all', () => d.text() === '# above\r\n' + d.original + '# typed here\r\n')
  await d.heard()
  say((await pane.innerText()).split('# above').length === 2, 'nothing stands twice in the pane')
  await d.page.locator('footer').click({ position: { x: 4, y: 4 } })
  await d.page.keyboard.press('Control+z')
  await d.page.keyboard.press('Control+z')
  await until('undone, byte for byte', () => d.text() === d.original)
  await d.close()
})

await scene('a proposal that changes under the finger', async () => {
  const meet = (s, name, from, to) => s.replace(new RegExp(`(${name}: .*at: \\[)${from},`), `$1${to},`)
  const d = await desk((s) => meet(s, 'standby', 308, 362))
  const proposal = await d.page.locator('article.stop button.do').filter({ hasNotText: /more|smaller|fold/ }).first().elementHandle()
  const meant = await proposal.textContent()
  await proposal.dispatchEvent('pointerdown')
  // another editor mends it, and something else is wrong now
  await d.save(meet(meet(d.text(), 'standby', 362, 308), 'house', 190, 226))
  await d.page.getByRole('button', { name: /^Undo: saved by another/ }).waitFor()
  const theirs = d.text()
  const there = await proposal.evaluate((b) => (b.isConnected ? b.textContent : ''))
  await proposal.evaluate((b) => b.dispatchEvent(new MouseEvent('click', { bubbles: true, detail: 1 })))
  await until(`what came under the finger meanwhile is not taken (${meant} / ${there})`, async () => there === '' || (await d.page.getByText('The notes have changed under your hand').count()) === 1)
  say(d.text() === theirs && there !== meant, 'and nothing is changed')
  await proposal.evaluate((b) => b.dispatchEvent(new PointerEvent('pointerdown', { bubbles: true })))
  await proposal.evaluate((b) => b.dispatchEvent(new MouseEvent('click', { bubbles: true, detail: 2 })))
  say((await d.page.getByText('being saved').count()) === 0 && d.text() === theirs, 'nor by the second press of two')
  await d.close()
})

await scene('a touch that the system takes away', async () => {
  const d = await desk((s) => s, { viewport: { width: 900, height: 900 }, hasTouch: true })
  const cdp = await d.page.context().newCDPSession(d.page)
  const touch = (type, ...ps) => cdp.send('Input.dispatchTouchEvent', { type, touchPoints: ps.map(([x, y]) => ({ x, y })) })
  const [bx, by] = await d.middle('curtain')
  await touch('touchStart', [bx + 40, by + 30])
  await touch('touchCancel')
  await touch('touchStart', [bx, by])
  for (let i = 1; i <= 6; i++) await touch('touchMove', [bx + i * 4, by + i * 4])
  await touch('touchEnd')
  await until('after a touch that was taken away one finger drags as before', async () => (await d.place('curtain'))[0] !== 238)
  await d.close()
})

await scene('the text pane', async () => {
  const d = await desk()
  await d.sheet('File')
  const pane = d.page.locator('.cm-content')
  await pane.click()
  await d.page.keyboard.press('Control+End')
  let h = await d.hold('/api/text')
  await d.page.keyboard.type('# one\n')
  await h.waits()
  await d.page.keyboard.type('# two\n')
  await d.save(d.text() + '# theirs\n')
  await until('a save of another editor comes while what was typed is under way', () => d.page.getByRole('button', { name: /^Undo: saved by another/ }).isVisible())
  h.go()
  await until('it is not typed over: both are shown', () => d.page.locator('dialog').isVisible())
  await d.page.locator('dialog pre').first().focus()
  await d.page.keyboard.press('1')
  say(await d.page.locator('.cm-content').isVisible(), 'keys stay with the dialog')
  const sides = await d.page.locator('dialog pre').allTextContents()
  say(sides.length === 2 && sides[0].includes('# two') && sides[1].includes('# theirs'), 'with all that was typed')
  say(d.text().includes('# theirs'), 'and theirs is in the file')
  if (sides.length) await d.page.getByRole('button', { name: /^Keep the file/ }).click()
  await until('the pane has what is in the file', async () => (await pane.textContent()).includes('# theirs'))
  await d.page.keyboard.press('Control+End')
  await d.page.keyboard.type('# three\n')
  await until('who typed goes on typing', () => d.text().endsWith('# theirs\n# three\n'))

  // the caret stays
  await d.page.keyboard.press('Control+Home')
  for (let i = 0; i < 2; i++) await d.page.keyboard.press('ArrowDown')
  await d.save(d.text().replace(/^title: .*/m, 'title: A longer title than the one that was there'))
  await until('a save of another editor is in the pane', async () => (await pane.textContent()).includes('A longer title'))
  await d.page.keyboard.type('# here ')
  await until('the caret stays where it was', () => d.text().includes('\n# here # lights'))

  // the program does not answer while one goes to another sheet
  let away = true
  await d.page.route('**/api/text', (r) => (away ? r.abort() : r.fallback()))
  await d.page.keyboard.press('Control+End')
  await d.page.keyboard.type('# kept\n')
  await d.sheet('Face')
  await d.page.locator('.control').first().waitFor()
  await until('what could not be written is told', () => d.page.getByText('The program does not answer').first().isVisible())
  say(!d.text().includes('# kept'), 'and is not in the file')
  away = false
  await d.sheet('File')
  await until('it is there when one comes back, and goes into the file', () => d.text().includes('# kept'))
  await d.close()
})

await scene('parts and the caliper card', async () => {
  const d = await desk()
  await d.sheet('Parts')
  const puts = d.page.getByRole('button', { name: 'put it on the face' })
  await puts.first().waitFor()
  let h = await d.hold('/api/act')
  await puts.first().click()
  await h.waits()
  await d.sheet('File')
  await d.page.locator('.cm-content').click()
  h.go()
  await until('a part comes late', () => d.page.getByRole('button', { name: /^Undo: add/ }).isVisible())
  say(await d.page.locator('.cm-content').isVisible(), 'who has gone to another sheet stays there')
  await d.page.locator('footer').click({ position: { x: 4, y: 4 } })
  await d.page.keyboard.press('Control+z')
  await until('it is taken back', () => d.text() === d.original)
  await d.sheet('Parts')
  await puts.first().waitFor()
  h = await d.hold('/api/act')
  await puts.first().click()
  await h.waits()
  await puts.first().click()
  h.go()
  await until('pressed twice while the answer is late', () => d.page.locator('.control').first().isVisible())
  await until('it is one part', async () => (await d.look()).controls.length === (await d.page.locator('.control').count()))
  const more = d.text().split('\n').length - d.original.split('\n').length
  say(more === 1, `one line more (${more})`)

  await d.sheet('Parts')
  await d.page.getByRole('button', { name: 'measure yours' }).first().click()
  const reading = d.page.locator('fieldset input:not([type])').first()
  await reading.waitFor()
  await reading.fill('15.9')
  await d.sheet('Face')
  await d.sheet('Parts')
  await until('readings are still there when one comes back from another sheet', async () => (await reading.count()) > 0 && (await reading.inputValue()) === '15.9')
  await d.close()
})

await scene('arrange', async () => {
  const d = await desk()
  await d.save(d.original.replace(/^title: .*/m, 'title: Saved by another'))
  await d.page.getByText('Saved by another').first().waitFor()
  await d.sheet('Arrange')
  await d.page.getByRole('button', { name: 'Arrange', exact: true }).click()
  await until('proposals are drawn', async () => (await d.page.locator('.proposals article').count()) > 1, 1200)
  await d.page.getByRole('button', { name: /^Take 1/ }).click()
  await until('one is taken', () => d.page.getByText('This one is in the file.').isVisible())
  const one = d.text()
  const h = await d.hold('/api/undo')
  const second = d.page.getByRole('button', { name: /^Take 2/ })
  await second.click()
  await h.waits()
  await second.dispatchEvent('click')
  h.go()
  await until('another one is taken, pressed twice', async () => d.text() !== one && (await d.page.getByText('In the file. Undo').count()) === 1)
  say(d.text().includes('Saved by another'), 'what was done before stays')

  // another editor saves, and the page has not heard of it yet
  const news = await d.hold('/api/look')
  await d.save(d.text() + '# theirs\n')
  await news.waits()
  await d.page.getByRole('button', { name: /^Take 1/ }).click()
  await until('what the page has not heard of is not taken back', () => d.page.getByText('The panel has changed since', { exact: false }).first().isVisible())
  say(d.text().endsWith('# theirs\n'), 'it is still in the file')
  news.go()
  await until('then the proposals are old', () => d.page.getByText('Old: arranged before the file changed.').isVisible())

  // the line breaks off in the middle
  await d.page.evaluate(() => {
    const real = window.fetch
    window.fetch = (to, o) => (to === '/api/arrange' ? Promise.resolve(new Response(new ReadableStream({ pull: (c) => c.error(new TypeError('network error')) }))) : real(to, o))
  })
  await d.page.getByRole('button', { name: 'Arrange anew' }).click()
  await until('a line that breaks off is told', () => d.page.getByText('The program does not answer').first().isVisible())
  say(await d.page.getByRole('button', { name: 'Arrange anew' }).isVisible(), 'and one can ask again')
  await d.close()
})

await scene('press', async () => {
  const d = await desk((s) => s.replace(/^( +)middle: \{from: \[266.*$/m, '$&\n$1side: {from: [206, 9.2], to: [206, 262.8], width: 9, height: 25}'))
  await d.sheet('Press')
  const rib = (n) => d.page.locator('.rib').nth(n)
  await d.page.locator('.contour').first().waitFor()
  say((await d.page.locator('.rib').count()) === 2, 'two ribs')
  let h = await d.hold('/api/edit')
  await rib(0).focus()
  await d.page.keyboard.press('Shift+ArrowRight')
  await h.waits()
  await d.page.keyboard.press('Shift+ArrowRight')
  h.go()
  await until('two arrows move a rib two steps, however late the answer is', () => /middle: \{from: \[276, 9\.2\]/.test(d.text()))
  // it stands where it was put until the map is told
  const press = await d.hold('/api/press')
  await d.page.keyboard.press('Shift+ArrowRight')
  await until('a third one', () => /middle: \{from: \[281, 9\.2\]/.test(d.text()))
  await press.waits()
  say(/from 281\.0 across/.test(await rib(0).getAttribute('aria-label')), 'the rib stands where it was put while the map is being made')
  press.go()
  await until('the map is made', async () => (await d.page.locator('.contour.old').count()) === 0)
  // written for one rib, another one is taken
  await rib(0).focus()
  await blank(d, 'rib width').fill('12')
  const b = await rib(1).boundingBox()
  await d.page.mouse.click(b.x + b.width / 2, b.y + b.height * 0.75)
  await until('what is written goes to the rib that it was written for', () => /middle: \{.*width: 12/.test(d.text()))
  say(/side: \{.*width: 9,/.test(d.text()), 'and not to the one that was taken')
  await d.close()
})

await scene('ribs of one face are not shown on another', async () => {
  const d = await desk(
    () => `knobwright: 1
title: Two slopes
face: {width: 320, height: 140, sheet: acrylic-3mm}
box: {form: two-slope, front: 60, slope: 12 deg, upper: {height: 110, slope: 40 deg}, walls: birch-ply-9mm}
controls:
  go: {part: push-22mm, at: [160, 70], legend: GO}
  far: {part: push-22mm, at: [160, 55], on: upper, legend: FAR}
`,
  )
  await d.sheet('Press')
  const face = d.page.getByRole('combobox', { name: 'face', exact: true })
  await face.waitFor()
  await blank(d, 'reach').fill('0.05')
  const h = await d.hold('/api/press/ribs')
  await d.page.getByRole('button', { name: 'Propose ribs' }).click()
  await h.waits()
  await face.selectOption({ index: 1 })
  h.go()
  await until('ribs that were asked for come when another face is shown', () => d.page.getByRole('button', { name: 'Propose ribs' }).isEnabled())
  say((await d.page.locator('polygon.new').count()) === 0 && (await d.page.getByRole('button', { name: 'Put it aside' }).count()) === 0, 'and are not shown on that')
  await d.page.getByRole('button', { name: 'Propose ribs' }).click()
  await until('its own are', () => d.page.getByRole('button', { name: /^(Put it aside|I see)$/ }).isVisible())
  await face.selectOption({ index: 0 })
  await until('until another face is chosen', async () => (await d.page.getByRole('button', { name: /^(Put it aside|I see)$/ }).count()) === 0)
  await d.close()
})

await scene('the box: what was asked first and comes last', async () => {
  const d = await desk()
  await d.sheet('Box')
  const through = d.page.getByRole('combobox', { name: 'Through' })
  await until('the box is there', async () => (await through.locator('option').count()) > 4)
  await through.selectOption('go')
  const h = await d.hold('/api/press/bent', 'control=go')
  await d.page.getByLabel('bent under a thumb there').check()
  await h.waits()
  await through.selectOption('standby')
  await until('the face bends under what is chosen', async () => /on STANDBY/.test(await d.page.locator('p.state').textContent()))
  h.go()
  await h.given()
  say(/on STANDBY/.test(await d.page.locator('p.state').textContent()), 'also when the one before comes after it')
  await d.close()
})

await scene('the steps', async () => {
  const d = await desk()
  let streams = 0
  d.page.on('request', (r) => r.url().endsWith('/api/events') && streams++)
  await d.sheet('Steps')
  await d.page.locator('.list .row').first().waitFor()
  say(streams === 0, 'the Steps sheet opens no second line for news: a browser has few of them')
  const h = await d.hold('/api/steps')
  await d.save(d.original + '# theirs\n')
  await h.waits()
  await d.page.locator('.tick').click()
  await until('a line is ticked off while the list is being read', async () => (await d.page.locator('.count').textContent()).startsWith('1 /'))
  h.one()
  await h.given()
  say((await d.page.locator('.count').textContent()).startsWith('1 /'), 'the list that was read before does not take it back')
  h.go()
  await d.page.route('**/api/tick', (r) => r.abort())
  await d.page.locator('.hands summary').click()
  const box = d.page.locator('.lines input').nth(2)
  await box.click()
  await until('a tick that is not written is told', () => d.page.getByText('The program does not answer').first().isVisible())
  await until('and not shown', async () => !(await box.isChecked()))
  await d.close()
})

await scene('the packet', async () => {
  const d = await desk()
  await d.sheet('Packet')
  const paper = d.page.getByRole('button', { name: 'parts.csv', exact: true })
  await paper.focus({ timeout: 60000 })
  const h = await d.hold('/api/papers')
  await d.save(d.original + '# theirs\n')
  await h.waits()
  say(await paper.evaluate((e) => e === document.activeElement).catch(() => false), 'who goes along the papers is not thrown out by news')
  await until('the list says that it is old', () => d.page.getByText('The list is old').isVisible())
  h.go()
  await until('until the new one is there', async () => (await d.page.getByText('The list is old').count()) === 0)
  await d.close()
})

await scene('the bench', async () => {
  const d = await desk()
  await d.page.evaluate('delete Navigator.prototype.hid')
  await d.sheet('Bench')
  await d.page.locator('.sheet-list li').first().waitFor()
  const begin = d.page.getByRole('button', { name: 'Try it with a simulated panel' })
  await begin.click()
  await d.page.locator('.ask').waitFor()
  const h = await d.hold('/api/bench/seen')
  await d.page.getByRole('button', { name: 'Do all that is open' }).click()
  await h.waits()
  await d.page.getByRole('button', { name: 'Stop', exact: true }).click()
  h.go()
  await until('it is stopped', async () => (await begin.count()) === 1 && h.came() === 1)
  await begin.click()
  await d.page.locator('.ask').waitFor()
  await d.page.getByRole('button', { name: 'Do all that is open' }).waitFor()
  await d.page.evaluate(() => new Promise((go) => setTimeout(go, 600)))
  say(h.came() === 1, 'what was stopped does not go on by itself in the next sitting')
  await d.close()
})

await scene('what is never answered', async () => {
  const d = await desk(
    (s) => s,
    {},
    async (page) => {
      await page.clock.install()
      await page.routeWebSocket('**/api/drag', () => {}) // it hears, and says nothing
      await page.addInitScript(() => {
        const Real = window.EventSource
        window.EventSource = class extends Real {
          constructor(to) {
            super(to)
            window.news = this
          }
        }
      })
    },
  )
  const [gx, gy] = await d.middle('go')
  const [sx, sy] = await d.middle('standby')
  await d.page.mouse.move(gx, gy)
  await d.page.mouse.down()
  await d.page.mouse.move(gx - 10, gy, { steps: 3 })
  const stops = d.page.locator('article.stop')
  const had = await stops.count()
  await d.page.mouse.move((gx + sx) / 2, (gy + sy) / 2, { steps: 3 })
  await d.page.clock.fastForward(11000)
  await d.page.mouse.move(sx + 20, sy, { steps: 3 })
  await until('a line on which nothing comes does not keep a drag waiting for ever', async () => (await stops.count()) > had)
  await d.page.keyboard.press('Escape')
  await d.page.mouse.up()
  // a change
  let first = true
  await d.page.route('**/api/act', (r) => {
    if (!first) return r.fallback()
    first = false
  })
  await d.take('house')
  await d.page.keyboard.press('ArrowDown')
  await until('a change is not answered', () => !first)
  await d.take('band')
  await d.page.keyboard.press('ArrowDown')
  await d.page.clock.fastForward(31000)
  await until('nor does a change keep all others waiting', () => d.line('band').includes('at: [300, 213.5]'))
  // the program is back
  await d.heard()
  await d.page.evaluate(() => window.news.dispatchEvent(new Event('error')))
  await until('that it is gone is told', () => d.page.getByText('What you see is the last it said').isVisible())
  let away = true
  await d.page.route('**/api/papers', (r) => (away ? r.abort() : r.fallback()))
  await d.sheet('Packet')
  await until('the papers do not come', () => d.page.locator('section [role=alert]').first().isVisible())
  away = false
  await d.page.evaluate(async () => window.news.dispatchEvent(new MessageEvent('message', { data: document.querySelector('main').dataset.rev })))
  await until('when it is back they come by themselves', async () => (await d.page.locator('section tbody tr').count()) > 10)
  await d.close()
})

await chrome.close()
for (const s of servers) s.kill()
console.log(wrong ? `${wrong} wrong` : 'all well')
process.exit(wrong ? 1 : 0)
