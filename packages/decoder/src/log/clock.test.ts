import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  ABSOLUTE_FROM_MICROS,
  Clock,
  type ClockOptions,
  DEFAULT_MAX_CLOCK_EVENTS,
  HOLE_MICROS,
  JUMP_MICROS,
  looksLikeDeltas,
  STEP_MICROS,
} from './clock.js'

const SECOND = 1_000_000
const DAY = 86_400 * SECOND
const START = 1_626_905_042_645_596

/** Pushes times and answers what came out, both from START. */
function run(times: readonly number[], options?: ClockOptions) {
  const clock = new Clock(options)
  const out = times.map((time) => clock.push(START + time) - START)
  return { out, report: clock.report() }
}

const none = { total: 0, kept: [] }

describe('times as printed', () => {
  it('are used as they are while they grow', () => {
    const times = [0, 1125, 1125, 2296, SECOND, 2 * SECOND]
    const { out, report } = run(times)
    expect(out).toEqual(times)
    expect(report).toEqual({
      deltas: false,
      dated: true,
      first: START,
      last: START + 2 * SECOND,
      untimed: 0,
      backwards: { count: 0, largest: 0 },
      steps: none,
      holes: none,
      jumps: none,
      strays: none,
    })
  })

  it.each([
    ['seconds since the epoch', ABSOLUTE_FROM_MICROS, 'seconds', true],
    ['seconds since the start', ABSOLUTE_FROM_MICROS - 1, 'seconds', false],
    ['a date, however early', -5, 'date', true],
  ] as const)('are dated or not: %s', (_, time, form, dated) => {
    const clock = new Clock()
    clock.push(0, 'none')
    expect(clock.report().dated).toBe(false)
    clock.push(time, form)
    clock.push(time + 1)
    expect(clock.report().dated).toBe(dated)
  })

  it('are nothing yet before the first', () => {
    const report = new Clock().report()
    expect([report.first, report.last]).toEqual([undefined, undefined])
  })

  it('may be before the epoch', () => {
    const clock = new Clock()
    expect([-5, -4, -6].map((time) => clock.push(time, 'date'))).toEqual([-5, -4, -6])
    expect(clock.report().first).toBe(-6)
  })
})

describe('lines without a time', () => {
  it('take the latest time known, 0 before any, and are counted', () => {
    const clock = new Clock()
    const out = [
      clock.push(0, 'none'),
      clock.push(START),
      clock.push(0, 'none'),
      clock.push(START - 5),
      clock.push(0, 'none'),
      clock.push(START + 7),
      clock.push(START + 8, 'none'),
    ]
    expect(out).toEqual([0, START, START, START - 5, START, START + 7, START + 7])
    const { untimed, first, jumps, holes } = clock.report()
    expect({ untimed, first, jumps, holes }).toEqual({ untimed: 4, first: START - 5, jumps: none, holes: none })
  })

  it('are counted where the time stands at zero', () => {
    const clock = new Clock()
    clock.push(0)
    expect(clock.push(0, 'none')).toBe(0)
    expect(clock.report().untimed).toBe(1)
  })
})

describe('times that run backwards', () => {
  // The first times of a recording of two interfaces out of step (public dataset), in microseconds.
  const OUT_OF_STEP = [100000, 100560, 103562, 101167, 108917, 101746, 110926]

  it('by less than a second are left, and counted with the largest amount', () => {
    const { out, report } = run(OUT_OF_STEP)
    expect(out).toEqual(OUT_OF_STEP)
    expect(report.backwards).toEqual({ count: 2, largest: 7171 })
    expect(report.steps).toEqual(none)
  })

  it('are measured from the latest time, not from the line before', () => {
    const { out, report } = run([0, 900_000, 500_000, 600_000, 950_000])
    expect(out).toEqual([0, 900_000, 500_000, 600_000, 950_000])
    expect(report.backwards).toEqual({ count: 2, largest: 400_000 })
  })

  it('by a second or more are a step: later times go on from the latest', () => {
    const { out, report } = run([0, 10, 10 - STEP_MICROS, 40 - STEP_MICROS, 50 - STEP_MICROS])
    expect(out).toEqual([0, 10, 10, 40, 50])
    expect(report.steps).toEqual({ total: 1, kept: [{ at: START + 10, step: STEP_MICROS }] })
    expect(report.backwards.count).toBe(0)
  })

  it('by a microsecond less are no step', () => {
    const { out, report } = run([0, 10, 11 - STEP_MICROS])
    expect(out).toEqual([0, 10, 11 - STEP_MICROS])
    expect([report.steps.total, report.backwards.largest]).toEqual([0, STEP_MICROS - 1])
  })

  it('add up over several steps', () => {
    const { out, report } = run([0, 5 * SECOND, 20, 30, -7 * SECOND, -7 * SECOND + 5], { hole: 10 * SECOND })
    expect(out).toEqual([0, 5 * SECOND, 5 * SECOND, 5 * SECOND + 10, 5 * SECOND + 10, 5 * SECOND + 15])
    expect(report.steps.kept).toEqual([
      { at: START + 5 * SECOND, step: 5 * SECOND - 20 },
      { at: START + 5 * SECOND + 10, step: 7 * SECOND + 30 },
    ])
  })

  it('go back to the printed time when the clock is right again', () => {
    const { out, report } = run([0, 10, 20 - 3600 * SECOND, 30 - 3600 * SECOND, 40, 50])
    expect(out).toEqual([0, 10, 10, 20, 40, 50])
    expect(report.steps.total).toBe(1)
    expect(report.holes.total).toBe(0)
  })

  it('do not push the time on where two interfaces take turns with clocks two seconds apart', () => {
    const times = Array.from({ length: 200 }, (_, i) => i * 1000 - (i % 2) * 2 * SECOND)
    const { out, report } = run(times)
    // The step puts the slow clock's first frame at the latest time, 1 ms early; the rest keep that.
    expect(out).toEqual(times.map((_, i) => i * 1000 - (i % 2) * 1000))
    expect(report.steps.total).toBe(1)
    expect(report.holes.total).toBe(0)
    expect(report.backwards.count).toBe(0)
  })
})

describe('silences', () => {
  it('longer than a second are holes', () => {
    const { out, report } = run([0, HOLE_MICROS, 2 * HOLE_MICROS + 1, 2 * HOLE_MICROS + 2])
    expect(out).toEqual([0, HOLE_MICROS, 2 * HOLE_MICROS + 1, 2 * HOLE_MICROS + 2])
    expect(report.holes).toEqual({ total: 1, kept: [{ from: START + HOLE_MICROS, to: START + 2 * HOLE_MICROS + 1 }] })
  })

  it('are measured from the latest time where times ran backwards', () => {
    const { report } = run([0, 500_000, 100_000, 500_000 + HOLE_MICROS])
    expect(report.holes.total).toBe(0)
  })

  it('take another threshold', () => {
    expect(run([0, 101, 200], { hole: 100 }).report.holes.kept).toEqual([{ from: START, to: START + 101 }])
  })

  it('longer than a day are jumps, and no holes, once a second line bears the time out', () => {
    const { out, report } = run([0, JUMP_MICROS, 2 * JUMP_MICROS + 1, 2 * JUMP_MICROS + 5, 2 * JUMP_MICROS + 6])
    expect(out).toEqual([0, JUMP_MICROS, JUMP_MICROS, 2 * JUMP_MICROS + 5, 2 * JUMP_MICROS + 6])
    expect(report.holes.kept).toEqual([{ from: START, to: START + DAY }])
    expect(report.jumps).toEqual({ total: 1, kept: [{ from: START + DAY, to: START + 2 * DAY + 5 }] })
    expect(report.strays).toEqual(none)
  })

  it('after a step lie on the clean time line', () => {
    const { report } = run([0, 10, -5 * SECOND, -2 * SECOND])
    expect(report.holes.kept).toEqual([{ from: START + 10, to: START + 10 + 3 * SECOND }])
  })

  it('are all counted, and the first ones kept', () => {
    const times = Array.from({ length: DEFAULT_MAX_CLOCK_EVENTS + 6 }, (_, i) => i * 2 * SECOND)
    const { holes } = run(times).report
    expect([holes.total, holes.kept.length, holes.kept[0]?.from]).toEqual([1005, 1000, START])
    expect(run(times, { maxEvents: 3 }).report.holes.kept.length).toBe(3)
  })
})

describe('a time far ahead of all others', () => {
  const FAR = 40_000 * DAY

  it('is reported, and moves nothing that follows', () => {
    const { out, report } = run([0, 10, FAR, 20, 30, FAR + 7, 40])
    expect(out).toEqual([0, 10, 10, 20, 30, 30, 40])
    expect(report.strays).toEqual({
      total: 2,
      kept: [
        { at: START + 10, printed: START + FAR },
        { at: START + 30, printed: START + FAR + 7 },
      ],
    })
    const { last, steps, holes, jumps, untimed } = report
    expect({ last, steps, holes, jumps, untimed }).toEqual({
      ...{ last: START + 40, steps: none, holes: none, jumps: none, untimed: 0 },
    })
  })

  it('is more than a day ahead, and the last line may be one', () => {
    expect(run([0, JUMP_MICROS]).report.strays).toEqual(none)
    expect(run([0, JUMP_MICROS + 1]).report.strays.total).toBe(1)
  })

  it('is borne out by one up to a second before it or a day behind it', () => {
    const strays = (next: number) => run([0, FAR, FAR + next]).report.strays.total
    expect([1 - STEP_MICROS, 0, JUMP_MICROS].map(strays)).toEqual([0, 0, 0])
    expect([-STEP_MICROS, JUMP_MICROS + 1].map(strays)).toEqual([2, 2])
  })

  it('is measured on the clean time line', () => {
    const { out, report } = run([0, 10, 10 - 5 * SECOND, FAR, 20 - 5 * SECOND])
    expect(out).toEqual([0, 10, 10, 10, 20])
    expect(report.strays.kept).toEqual([{ at: START + 10, printed: START + FAR }])
  })

  it('stays counted where more came than are kept', () => {
    const { report } = run([0, FAR, 1, 2 * FAR, 2, 3 * FAR, 3 * FAR + 1], { maxEvents: 1 })
    expect(report.strays).toEqual({ total: 2, kept: [{ at: START, printed: START + FAR }] })
  })
})

describe('a report', () => {
  it('does not change afterwards', () => {
    const clock = new Clock()
    clock.push(START)
    clock.push(START + 2 * SECOND)
    const report = clock.report()
    clock.push(START + 4 * SECOND)
    expect(report.holes.kept.length).toBe(1)
  })
})

describe('differences', () => {
  const pushAll = (clock: Clock, times: readonly number[]) => times.map((time) => clock.push(time))

  it('are summed', () => {
    const clock = new Clock({ deltas: true })
    expect(pushAll(clock, [0, 571, 585, 0, 2321])).toEqual([0, 571, 1156, 1156, 3477])
    const { deltas, first, last, backwards } = clock.report()
    expect({ deltas, first, last, backwards }).toEqual({
      ...{ deltas: true, first: 0, last: 3477, backwards: { count: 0, largest: 0 } },
    })
  })

  it('tell holes and jumps', () => {
    const clock = new Clock({ deltas: true })
    pushAll(clock, [0, 5, HOLE_MICROS, HOLE_MICROS + 1, JUMP_MICROS + 1])
    const { holes, jumps } = clock.report()
    expect(holes.kept).toEqual([{ from: 1_000_005, to: 2_000_006 }])
    expect(jumps.kept).toEqual([{ from: 2_000_006, to: 2_000_007 + DAY }])
  })

  it('stand beside lines without a time', () => {
    const clock = new Clock({ deltas: true })
    expect([clock.push(0, 'none'), clock.push(3), clock.push(0, 'none'), clock.push(4)]).toEqual([0, 3, 3, 7])
  })

  it('go on from an absolute time, which is none of them', () => {
    const clock = new Clock({ deltas: true })
    expect(pushAll(clock, [0, 7, ABSOLUTE_FROM_MICROS, 1e14 + 1, 5])).toEqual([0, 7, 7, 1e14 + 1, 1e14 + 6])
    expect([clock.push(2e14, 'date'), clock.push(2e14 + 1, 'date')]).toEqual([1e14 + 6, 2e14 + 1])
    expect(clock.report().jumps.total).toBe(2)
  })
})

describe('any times', () => {
  const anyForm = fc.constantFrom('none' as const, 'seconds' as const, 'date' as const)
  const anyTime = fc.oneof(
    fc.integer({ min: 0, max: 5 * SECOND }),
    fc.integer({ min: -2 * DAY, max: 2 * DAY }),
    fc.integer({ min: START, max: START + 3 * DAY }),
  )

  it('never fall a second behind the latest, and stay integers', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(anyTime, anyForm), { maxLength: 60 }), fc.boolean(), (lines, deltas) => {
        const clock = new Clock({ deltas })
        let latest = Number.NEGATIVE_INFINITY
        for (const [time, form] of lines) {
          const at = clock.push(deltas && form === 'seconds' ? Math.abs(time) : time, form)
          expect(Number.isSafeInteger(at)).toBe(true)
          const timed = clock.report().last !== undefined
          if (timed) expect(at).toBeGreaterThan(latest - STEP_MICROS)
          if (timed) latest = Math.max(latest, at)
        }
        if (lines.some(([, form]) => form !== 'none')) expect(clock.report().last).toBe(latest)
        expect(clock.report().untimed).toBe(lines.filter(([, form]) => form === 'none').length)
      }),
    )
  })

  it('are the same whether pushed one by one or in rows', () => {
    const anySteps = fc.array(fc.tuple(fc.constantFrom('none' as const, 'seconds' as const), anyTime), {
      maxLength: 40,
    })
    fc.assert(
      fc.property(anySteps, fc.boolean(), (lines, deltas) => {
        const [one, many] = [new Clock({ deltas }), new Clock({ deltas })]
        const printed = lines.map(([, time]) => (deltas ? Math.abs(time) : time))
        const expected = lines.map(([form], i) => one.push(printed[i] as number, form))
        const times = Float64Array.from(printed)
        for (let from = 0; from < lines.length; ) {
          let to = from
          while (to < lines.length && lines[to]?.[0] === 'seconds') to++
          many.pushRows(times, from, to)
          if (to < lines.length) times[to] = many.push(printed[to] as number, 'none')
          from = to + 1
        }
        expect([...times]).toEqual(expected)
        expect(many.report()).toEqual(one.report())
      }),
    )
  })

  it('are the same from differences as from the sums of them', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 3 * SECOND }), { minLength: 1 }), (deltas) => {
        let sum = 0
        const sums = deltas.map((delta) => (sum += delta))
        const [fromDeltas, fromSums] = [new Clock({ deltas: true }), new Clock()]
        expect(deltas.map((delta) => fromDeltas.push(delta))).toEqual(sums.map((time) => fromSums.push(time)))
        expect({ ...fromDeltas.report(), deltas: false }).toEqual(fromSums.report())
      }),
    )
  })
})

describe('looksLikeDeltas', () => {
  // Four stretches of recordings (public dataset), in microseconds: one interface; two that are further out
  // of step than anywhere else in it; differences with less disorder than anywhere else in it.
  const ONE_INTERFACE = [
    0, 1125, 2296, 3808, 6798, 7387, 7973, 8583, 9171, 9802, 10410, 10955, 11526, 12104, 12688, 13280, 13852, 14412,
    15011, 15592, 16171, 16748, 17344, 17923, 20099, 20718, 21292, 21865, 22444, 23013, 30024, 30620, 31179, 31770,
  ]
  const TWO_INTERFACES = [
    100000, 100560, 103562, 101167, 108917, 101746, 110926, 102344, 113534, 102804, 123285, 103355, 123881, 104897,
    124458, 105418, 127480, 105943, 130381, 106466, 108864, 109396, 111871, 112358, 114761, 115292, 117778, 118290,
    120904, 121452, 144914, 123908, 145499, 124434, 146081, 126820, 147240, 127331, 150337, 129770, 130290, 152492,
    152189, 152746, 153366, 153939, 154534, 157557, 155141, 155755, 156335, 156931, 163493, 164639, 166358, 167819,
    168384, 170148, 172459, 176628, 177500, 181963, 184080, 189371,
  ]
  const ORDERLY_DELTAS = [
    0, 571, 585, 581, 559, 576, 567, 580, 584, 556, 580, 572, 561, 584, 583, 580, 576, 594, 566, 580, 572, 580, 577,
    572, 561, 574, 577, 579, 568, 574, 571, 588, 581, 595, 572, 590, 583, 998, 581, 604, 592, 728, 1210, 732, 2321,
    3151, 591, 588, 1522, 978, 672, 3629, 2085, 1835, 588, 572, 812, 2888, 597, 2679, 576, 588, 1334, 1162,
  ]
  const differences = (times: readonly number[]) => times.map((time, i) => (i === 0 ? 0 : time - (times[i - 1] ?? 0)))

  it.each([
    ['times that count on', ONE_INTERFACE, false],
    ['the differences of these', differences(ONE_INTERFACE), true],
    ['two interfaces out of step', TWO_INTERFACES, false],
    ['differences with little disorder', ORDERLY_DELTAS, true],
    ['no times', [], false],
    ['one time', [5], false],
    ['two times', [0, 5], false],
    ['all at zero', new Array(64).fill(0), false],
    // The limits the rule has, so that a better one shows.
    ['differences that are all alike', [0, ...new Array(63).fill(1000)], false],
    ['turns of clocks 90 ms apart', Array.from({ length: 64 }, (_, i) => i * 500 + (i % 2) * 90_000), true],
  ])('%s', (_, times, expected) => expect(looksLikeDeltas(times)).toBe(expected))
})
