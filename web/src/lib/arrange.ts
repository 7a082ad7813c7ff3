import { Refused } from './api'
import type { ArrangeLine, ArrangeRequest } from './types'

/** Asks for arrangements; each line of the answer is handed over as it comes. Ending the signal calls the search off. */
export async function arrange(q: ArrangeRequest, signal: AbortSignal, line: (l: ArrangeLine) => void): Promise<void> {
  let r: Response
  try {
    r = await fetch('/api/arrange', { method: 'POST', body: JSON.stringify(q), headers: { 'Content-Type': 'application/json' }, signal })
  } catch (e) {
    if (e instanceof DOMException && e.name === 'AbortError') throw e
    throw new Refused('The program does not answer. Start knobwright open again; nothing is lost.')
  }
  if (!r.ok || !r.body) {
    const data = await r.json().catch(() => ({}))
    throw new Refused(data.say ?? 'The program could not do that.')
  }
  const words = r.body.pipeThrough(new TextDecoderStream()).getReader()
  let rest = ''
  for (;;) {
    const { done, value } = await words.read().catch((e) => {
      if (e instanceof DOMException && e.name === 'AbortError') throw e
      throw new Refused('The program does not answer. Start knobwright open again; nothing is lost.')
    })
    if (done) return
    rest += value
    const lines = rest.split('\n')
    rest = lines.pop()!
    for (const l of lines) if (l) line(JSON.parse(l))
  }
}
