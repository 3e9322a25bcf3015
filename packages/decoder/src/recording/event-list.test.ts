import { expect, it } from 'vitest'
import { EventList } from './event-list.js'
import type { BusEvent } from './events.js'

/** An event of which only time and address matter here. */
const event = (time: number, sa: number): BusEvent => ({
  ...{ kind: 'clear', channel: 0, time, sa, da: 255 },
  command: { kind: 'clear', dm: 11, clears: 'active', form: 'request', problems: [] },
})
const inOrder = (list: EventList) => list.sorted().map((entry) => [entry.time, 'sa' in entry && entry.sa])

it('events come out in order of time, those of one moment in the order they were noticed', () => {
  const list = new EventList()
  for (const [time, sa] of [
    [30, 1],
    [10, 2],
    [30, 3],
    [20, 4],
    [10, 5],
  ]) {
    list.add(event(time, sa))
  }
  const wanted = [
    [10, 2],
    [10, 5],
    [20, 4],
    [30, 1],
    [30, 3],
  ]
  expect(inOrder(list)).toEqual(wanted)
  expect(inOrder(list)).toEqual(wanted)
})

it('the first ones are kept, the others counted', () => {
  const list = new EventList(2)
  for (let time = 5; time > 0; time--) list.add(event(time, time))
  expect(inOrder(list).map(([time]) => time)).toEqual([4, 5])
  expect(list.dropped).toBe(3)
  const usual = new EventList()
  for (let time = 0; time < 10_001; time++) usual.add(event(time, 0))
  expect(usual.sorted()).toHaveLength(10_000)
  expect(usual.dropped).toBe(1)
})
