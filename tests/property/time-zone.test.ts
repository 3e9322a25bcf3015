/** The time zone of the machine that reads a log changes nothing, also where a log has dates and no zone. */
import { openRecording } from '@firstcrank/decoder'
import { afterEach, describe, expect, it } from 'vitest'
import { fingerprint } from '../support/fingerprint.js'
import { utf8 } from '../support/log.js'

const LOG = utf8(
  [
    ' (2021-03-28 01:59:59.900000)  can0  RX - -  0CF00400   [8]  50 7D 8D D1 12 00 F4 8E',
    ' (2021-03-28 02:30:00.000000)  can0  RX - -  0CF00400   [8]  50 7D 8D D2 12 00 F4 8E',
    '(1616896800.500000) can0 18FECA00#0000000000000000',
    '',
  ].join('\n'),
)

const before = process.env['TZ']
afterEach(() => {
  if (before === undefined) delete process.env['TZ']
  else process.env['TZ'] = before
})

describe('a log with dates', () => {
  // Offsets in minutes on the day of the log, from the time zone database; the first proves that setting it works.
  it.each([
    ['UTC', 0],
    ['Asia/Kathmandu', -345],
    ['America/St_Johns', 150],
    ['Pacific/Auckland', -780],
  ])('reads the same in %s', async (zone, offset) => {
    process.env['TZ'] = zone
    expect(new Date(Date.UTC(2021, 2, 28)).getTimezoneOffset()).toBe(offset)
    const recording = await openRecording(LOG, { summary: true })
    // 2021-03-28 01:59:59.9 taken as UTC: date -u -d '2021-03-28 01:59:59' +%s is 1616896799.
    expect(recording.clock.first).toBe(1_616_896_799_900_000)
    process.env['TZ'] = 'UTC'
    expect(fingerprint(recording)).toBe(fingerprint(await openRecording(LOG, { summary: true })))
  })
})
