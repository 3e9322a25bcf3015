import { describe, expect, test } from 'vitest'
import { z } from 'zod'
import { clientMessage } from './messages.js'
import { badRequest, describeProblem, FeedError, PROBLEMS_BY_CODE, problemDetails } from './problem.js'
import { runChange } from './run.js'
import { signalKey } from './signal-ref.js'

describe('problems', () => {
  test.each(Object.keys(PROBLEMS_BY_CODE) as (keyof typeof PROBLEMS_BY_CODE)[])(
    '%s is in the standard form',
    (code) => {
      const problem = describeProblem(code, 'this one')
      expect(problemDetails.parse(problem)).toEqual(problem)
      expect(problem).toMatchObject({ type: `/problems/${code}`, detail: 'this one' })
      expect(problem.status).toBeGreaterThanOrEqual(400)
      expect(problem.title).toMatch(/^[A-Z].*\.$/)
    },
  )

  test('of a wrong form name each field', () => {
    const result = z.object({ a: z.object({ b: z.array(z.number()) }) }).safeParse({ a: { b: [1, 'x'] } })
    const error = badRequest(result.error as z.ZodError)
    expect(error.problem).toMatchObject({ code: 'bad-request', status: 400, errors: [{ path: 'a.b.1' }] })
    expect(error.message).toMatch(/^a\.b\.1: /)
  })

  test('carry their code as errors', () => {
    const error = new FeedError('changed', 'too late')
    expect(error).toBeInstanceOf(Error)
    expect([error.name, error.code, error.message]).toEqual(['FeedError', 'changed', 'too late'])
  })
})

describe('schemas', () => {
  test('take what is meant', () => {
    const message = { type: 'follow', id: 1, recording: 'live:a-1', signals: [], span: 0, columns: 1 }
    expect(clientMessage.parse(message)).toEqual(message)
    expect(runChange.parse({ notes: '', profile: null })).toEqual({ notes: '', profile: null })
  })

  test.each([
    ['an undefined field', { notes: undefined }],
    ['a field nobody knows', { colour: 'red' }],
    ['too long a text', { title: 'x'.repeat(201) }],
    ['a profile that is a list', { profile: [] }],
  ])('refuse %s', (_, change) => {
    expect(runChange.safeParse(change).success).toBe(false)
  })

  test('name a signal by all that tells it from others', () => {
    const ref = { channel: 'can0', sa: 1, pgn: 2, spn: 3 }
    const keys = [ref, { ...ref, sa: 2 }, { ...ref, instance: 0 }, { ...ref, da: 0 }, { ...ref, channel: 'can1' }].map(
      signalKey,
    )
    expect(new Set(keys).size).toBe(5)
    expect(signalKey({ ...ref })).toBe(keys[0])
  })
})
