/** What the person who started a server is told of a recorder. */
import type { RecorderStatus } from '@firstcrank/feed'
import type { Notice } from '../notice.js'
import { TOO_SLOW } from './recorder.js'

/** Milliseconds in which a slow disk is told of once: it falls behind many times a second. Our own choice. */
const SLOW_EVERY = 60_000

/** In words, that something is missing. A disk that is only slow loses a part. */
export function missing(title: string, detail: string): string {
  return `${detail === TOO_SLOW ? 'part of ' : ''}${title} is not being recorded: ${detail}`
}

/** Tells of one recorder. A disk that is only slow loses some lines and goes on by itself: its return is not told. */
export function recorderNotices(
  title: string,
  notice: Notice,
): (state: RecorderStatus['state'], detail: string) => void {
  let isBroken = false
  let toldSlow = Number.NEGATIVE_INFINITY
  return (state, detail) => {
    if (detail === TOO_SLOW) {
      if (performance.now() - toldSlow < SLOW_EVERY) return
      toldSlow = performance.now()
      notice(missing(title, detail))
    } else if (state === 'disk-full' || state === 'failed') {
      isBroken = true
      notice(missing(title, detail))
    } else if (state === 'recording' && isBroken) {
      isBroken = false
      notice(`${title} is being recorded again${detail && `: ${detail}`}`)
    }
  }
}
