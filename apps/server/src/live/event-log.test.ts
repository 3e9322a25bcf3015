import type { LiveEvent } from '@firstcrank/feed'
import { describe, expect, test } from 'vitest'
import { EventLog } from './event-log.js'

const event = (at: number): LiveEvent => ({ kind: 'source', at, state: 'live', detail: '' })
const filled = (count: number): EventLog => {
  const log = new EventLog()
  for (let n = 0; n < count; n++) log.add(event(n))
  return log
}
const numbers = (events: readonly LiveEvent[]): number[] => events.map(({ at }) => at)

describe('an event log', () => {
  test.each([
    [0, [0, 1, 2], 3],
    [2, [2], 3],
    [3, [], 3],
  ])('from event %i on', (from, expected, next) => {
    const found = filled(3).from(from)
    expect([numbers(found.events), found.next, found.missed]).toEqual([expected, next, 0])
  })

  test('comes in pages', () => {
    const log = filled(5)
    expect(log.from(0, 2)).toMatchObject({ next: 2, missed: 0 })
    expect(numbers(log.from(2, 2).events)).toEqual([2, 3])
  })

  test('forgets the oldest, and says how many', () => {
    const log = filled(2_001)
    expect(log.next).toBe(2_001)
    const found = log.from(0)
    expect(found.missed).toBe(1_000)
    expect(found.events[0]).toMatchObject({ at: 1_000 })
    expect(log.from(1_500).missed).toBe(0)
  })

  test('of long running still numbers from the first event', () => {
    const log = filled(10_000)
    expect(numbers(log.from(9_999).events)).toEqual([9_999])
  })
})
