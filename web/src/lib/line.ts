import * as api from './api'
import type { Act, CutData, DragData, TryData } from './types'

// A line to the program that stays open while the page does: a step of a drag goes over it without a request's way through the browser.
// Where there is none (yet), the step is asked for as anything else is.
let line: WebSocket | null = null
let waiting: { done: (t: TryData) => void; fail: (e: Error) => void; drawn?: (c: CutData) => void } | null = null
const neverAfter = 10000 // ms; a line on which nothing comes by then is shut, and opened anew
let late = 0
let never = false // a browser that opens none is not asked again

/** Takes the cut, which comes behind the answer that it belongs to. */
let onCut: ((c: CutData) => void) | undefined

function open() {
  if (never) return
  const ws = (line = new WebSocket(`ws://${location.host}/api/drag`))
  let opened = false
  ws.onopen = () => (opened = true)
  const shut = () => {
    never ||= !opened
    if (line !== ws) return
    clearTimeout(late)
    line = null
    waiting?.fail(new api.Refused('The program does not answer. Start knobwright open again; nothing is lost.'))
    waiting = null
  }
  ws.onclose = ws.onerror = shut
  ws.onmessage = (m) => {
    if (line !== ws) return
    const d = JSON.parse(m.data as string) as DragData
    if (d.cut) return onCut?.(d.cut)
    clearTimeout(late)
    const w = waiting
    waiting = null
    onCut = w?.drawn
    if (d.try) w?.done(d.try)
    else w?.fail(new api.Refused(d.say ?? 'The program could not do that.'))
  }
}

/** What an act would lead to, tried and not saved; with the cut through a control of which the page has that of revision had: in
 * the answer, or behind it for drawn. */
export function tryAct(act: Act, cut?: string, had?: number, drawn?: (c: CutData) => void): Promise<TryData> {
  if (!line) open()
  if (line?.readyState !== WebSocket.OPEN || waiting) return api.tryAct(act, cut, had)
  return new Promise((done, fail) => {
    waiting = { done, fail, drawn }
    const ws = line!
    late = window.setTimeout(() => (ws.close(), ws.onclose?.(new CloseEvent('close'))), neverAfter)
    ws.send(JSON.stringify({ say: '', edits: [], act, cut, had }))
  })
}

/** Opens the line before the first step of a drag. */
export function ready() {
  if (!line) open()
}
