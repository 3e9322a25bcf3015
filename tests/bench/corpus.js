/**
 * The bench's log: about 25 groups from four nodes at nominal periods, a multi-packet DM1 once a
 * second, every value moving. Deterministic, so that two runs read the same bytes.
 */

import { once } from 'node:events'
import { createWriteStream } from 'node:fs'

/** Identifier and period in milliseconds. */
const TRAFFIC = [
  ['0CF00400', 10],
  ['0CF00300', 50],
  ['0CF00203', 10],
  ['18F00131', 100],
  ['18F0010B', 100],
  ['18FEBF0B', 100],
  ['08FE6E0B', 20],
  ['18FEF100', 100],
  ['18FEDF00', 250],
  ['18FEF200', 100],
  ['18FEF500', 1000],
  ['18FEF600', 500],
  ['18FEF700', 1000],
  ['18FEEE00', 1000],
  ['18FEEF00', 500],
  ['18FEE500', 1000],
  ['18FEE900', 1000],
  ['18F00A00', 50],
  ['18FEC131', 1000],
  ['18FEE431', 1000],
  ['18F00503', 100],
  ['18FEF803', 1000],
  ['0C000003', 10],
  ['18FDB200', 500],
  ['18FD7C00', 100],
]

/** A multi-packet DM1 with four faults: announcement and data packets. */
const ANNOUNCEMENT = ['18ECFF00', '20120003FFCAFE00']
const PACKETS = ['0104FF690003016E', '0200030264000301', '03BE000205FFFFFF']

const hex = (value, digits) => value.toString(16).toUpperCase().padStart(digits, '0')

function* frames(seed) {
  let state = seed
  const random = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state
  }
  const due = TRAFFIC.map(([id, period], index) => ({ id, period: period * 1000, at: index * 137 }))
  const packets = []
  let dm1At = 500_000
  for (;;) {
    let next = due[0]
    for (const entry of due) if (entry.at < next.at) next = entry
    if (dm1At < next.at) {
      yield { at: dm1At, id: ANNOUNCEMENT[0], data: ANNOUNCEMENT[1] }
      PACKETS.forEach((data, i) => {
        packets.push({ at: dm1At + (i + 1) * 50_000, id: '18EBFF00', data })
      })
      dm1At += 1_000_000
    }
    if (packets.length > 0 && packets[0].at < next.at) yield packets.shift()
    const high = hex((random() & 0xfaff7fff) >>> 0, 8)
    const low = hex(random() & 0x7f7f7dfa, 8)
    yield { at: next.at, id: next.id, data: high + low }
    next.at += next.period + (random() & 0xff)
  }
}

/**
 * Writes a log of `lines` lines.
 *
 * @param {string} path
 * @param {{ lines: number, newline?: string, channels?: string[], shortEvery?: number }} shape
 */
export async function writeCorpus(path, { lines, newline = '\n', channels = ['can0'], shortEvery = 0 }) {
  const out = createWriteStream(path)
  let text = ''
  let written = 0
  const start = 1_700_000_000
  for (const { at, id, data } of frames(20_251)) {
    if (written === lines) break
    const seconds = start + Math.floor(at / 1e6)
    const micros = String(at % 1e6).padStart(6, '0')
    const channel = channels[written % channels.length]
    const short = shortEvery > 0 && written % shortEvery === 0 && !id.startsWith('18E')
    text += `(${seconds}.${micros}) ${channel} ${id}#${short ? data.slice(0, 6) : data}${newline}`
    written++
    if (text.length > 1 << 20) {
      if (!out.write(text)) await once(out, 'drain')
      text = ''
    }
  }
  out.end(text)
  await once(out, 'finish')
}
