import { describe, expect, test } from 'vitest'
import { KEY_ON, type MadeRun, openRun } from '../../../tests/support/made-run.js'
import { findEngines } from './engine-view.js'

const short = { instants: { crank: 2, fire: 3, keyOff: 8, end: 10, lamp: [20, 20] } } as const
const viewsOf = async (...runs: readonly MadeRun[]) => findEngines(await openRun(...runs))

describe('engines', () => {
  test('one that tells its speed', async () => {
    const [engine, ...others] = await viewsOf(short)
    expect(others).toEqual([])
    expect(engine).toMatchObject({ channel: 'can0', sa: 0, basis: 'speed', alone: true })
    expect(engine.signalRef(190)).toEqual({ channel: 'can0', sa: 0, pgn: 61444, spn: 190 })
    expect(engine.has(190)).toBe(true)
    expect(engine.has(97)).toBe(false)
    expect(engine.signalRef(97)).toBeUndefined()
    expect(engine.samples(97).time).toHaveLength(0)
    expect(engine.period(190)).toBe(20_000)
    expect(engine.hold(190)).toBe(60_000)
  })

  test('a second address of the same controller adds its signals', async () => {
    const half = { ...short, without: [61444, 61443, 65262, 65263, 65270, 65266, 65271, 65269] }
    const [engine, ...others] = await viewsOf({ ...short, without: [61450, 65243] }, { ...half, sa: 1 })
    expect(others).toEqual([])
    expect(engine.signalRef(157)).toMatchObject({ sa: 1, pgn: 65243 })
    expect(engine.signalRef(132)).toMatchObject({ sa: 1 })
  })

  test('two engines on one bus keep their signals apart; what is around both is shared', async () => {
    const port = { ...short, sa: 0 }
    const starboard = { ...short, sa: 1, without: [65269, 65263], signals: { 190: () => 1200 } }
    const engines = await viewsOf(port, starboard)
    expect(engines.map(({ sa, alone }) => [sa, alone])).toEqual([
      [0, false],
      [1, false],
    ])
    expect(engines[1].signalRef(100)).toBeUndefined()
    expect(engines[0].signalRef(100)).toMatchObject({ sa: 0 })
    expect(engines[1].valid(190).value[0]).toBe(1200)
  })

  test('a gateway that repeats the speed is no second engine', async () => {
    const [engine, ...others] = await viewsOf(short, { ...short, channel: 'can1' })
    expect(others).toEqual([])
    expect(engine.alone).toBe(true)
  })

  test('nor is one NAME on two interfaces, with the engine at rest', async () => {
    const claim = { at: 0.1, pgn: 60928, sa: 0, da: 255, data: '05 00 60 07 00 00 00 80' }
    const rest = { instants: { ...short.instants, crank: 60, fire: 60, keyOff: 60 }, others: [claim] }
    const there = { ...rest, channel: 'can1', others: [{ ...claim, channel: 'can1' }] }
    expect(await viewsOf(rest, there)).toHaveLength(1)
    // Without a NAME nobody can say.
    expect(await viewsOf({ ...rest, others: [] }, { ...there, others: [] })).toHaveLength(2)
  })

  test('another node that sends an empty speed message is no engine', async () => {
    const body = { ...short, sa: 33, signals: { 190: null }, without: [61443, 65262, 65263, 65270, 65266] }
    expect((await viewsOf(short, body)).map(({ sa }) => sa)).toEqual([0])
  })

  test('an engine without any speed is recognised by what else it sends', async () => {
    const [engine] = await viewsOf({ ...short, without: [61444] })
    expect(engine).toMatchObject({ sa: 0, basis: 'messages' })
    expect(engine.has(190)).toBe(false)
  })

  test('a claim of the engine’s function is enough', async () => {
    const claim = { at: 0.1, pgn: 60928, sa: 40, da: 255, data: '01 00 00 00 00 00 00 00' }
    const engines = await viewsOf({ ...short, sa: 40, without: [61444], others: [claim] })
    expect(engines).toMatchObject([{ sa: 40, basis: 'claim' }])
  })

  test('nothing at all', async () => {
    expect(await viewsOf({ instants: { ...short.instants, end: 0 } })).toEqual([])
    expect(KEY_ON % 1_000_000).toBe(0)
  })
})
