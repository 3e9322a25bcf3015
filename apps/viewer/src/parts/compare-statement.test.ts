import { describe, expect, it } from 'vitest'
import { statementParts } from './compare-statement.js'

type Fault = Parameters<typeof statementParts>[0]
const fault = (statement: string, notExercised: readonly string[] | null): Fault =>
  ({ statement, exposure: notExercised === null ? null : { notExercised } }) as unknown as Fault

describe('the statement on a fault', () => {
  it('gives what was not driven again as a list', () => {
    const missed = ['cold start', 'running at 625–875 rpm, load 40–50 %']
    expect(statementParts(fault(`Not seen in 5 min. Not exercised: ${missed.join('; ')}.`, missed))).toEqual({
      said: 'Not seen in 5 min.',
      missed,
    })
  })

  it.each<[string, Fault]>([
    ['nothing was missed', fault('It is there in the later run too: once, 3 s in all.', [])],
    ['its exposure is not known', fault('Not tested: two vehicles.', null)],
    ['it does not name what was missed', fault('It is there in the later run too.', ['cold start'])],
  ])('is left whole where %s', (_, whole) => {
    expect(statementParts(whole)).toEqual({ said: whole.statement, missed: [] })
  })
})
