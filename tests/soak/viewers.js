/**
 * Many viewers in a process of their own. The first argument says in JSON which recording of which port
 * they follow, how many they are, and for how many seconds. Says in one line of JSON what they saw.
 */
import { FeedClient } from '@firstcrank/feed'
import { WebSocket } from 'ws'

const { port, recording, signals, count, seconds } = JSON.parse(process.argv[2] ?? '{}')

/** Delays of messages by milliseconds; the last entry holds all longer ones. */
const delays = new Float64Array(20_001)
const seen = { messages: 0, skipped: 0, gaps: 0, resets: 0, batches: 0, overviews: 0, broken: 0 }
const ends = []

/** A follow, and whether it is told of every message once. */
function watch() {
  const next = signals.map(() => undefined)
  const client = new FeedClient({
    connect: (protocol) => new WebSocket(`ws://127.0.0.1:${port}/feed`, protocol),
    onConnected: (connected) => {
      if (!connected) seen.broken++
    },
  })
  client.source(recording).follow(
    { signals, span: 1_000_000, columns: 500 },
    {
      columns: ({ reset, entries }) => {
        const now = (performance.timeOrigin + performance.now()) * 1_000
        seen.batches++
        if (reset) seen.resets++
        for (const entry of entries) take(entry, reset, now, next)
      },
    },
  )
  ends.push(() => client.close())
}

function take({ index, columns, next: after, skipped, from, to }, reset, now, next) {
  const whole = columns.form === 'samples'
  const told = whole ? columns.time.length : columns.count.reduce((sum, one) => sum + one, 0)
  if (!whole) seen.overviews++
  if (!reset && next[index] !== undefined && next[index] + skipped + told !== after) seen.gaps++
  next[index] = after
  seen.skipped += skipped
  seen.messages += told
  // The history is as old as it is.
  if (reset) return
  if (whole) {
    for (const time of columns.time) note(now - time, 1)
    return
  }
  // Of a picture: as old as the beginning of their column.
  const step = (to - from) / columns.count.length
  for (const [n, messages] of columns.count.entries()) note(now - from - step * n, messages)
}

function note(micros, messages) {
  delays[Math.min(20_000, Math.max(0, Math.round(micros / 1_000)))] += messages
}

function delayOf(share) {
  const total = delays.reduce((sum, one) => sum + one, 0)
  let sum = 0
  for (let milliseconds = 0; milliseconds < delays.length; milliseconds++) {
    sum += delays[milliseconds]
    if (sum >= total * share) return milliseconds
  }
  return delays.length
}

// Not all in one moment: that would measure how fast connections are made.
for (let viewer = 0; viewer < count; viewer++) {
  watch()
  await new Promise((resolve) => setTimeout(resolve, 5))
}
await new Promise((resolve) => setTimeout(resolve, seconds * 1_000))
for (const end of ends) end()
const [p50, p99, p999] = [0.5, 0.99, 0.999].map(delayOf)
console.log(JSON.stringify({ ...seen, p50, p99, p999 }))
process.exit(0)
