/** What the system says of a file is told in the same words by command and server. */
import { expect, test } from 'vitest'
import { FILE_PROBLEMS } from '../../apps/cli/src/command-error.js'
import { REASONS } from '../../apps/server/src/reason.js'

test('one code has one text', () => {
  const both = Object.keys(FILE_PROBLEMS).filter((code) => code in REASONS)
  expect(both.length).toBeGreaterThan(8)
  for (const code of both) expect(REASONS[code], code).toBe(FILE_PROBLEMS[code])
})
