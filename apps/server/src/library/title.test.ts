import { expect, test } from 'vitest'
import { titleOf } from './title.js'

test.each([
  ['C:\\logs\\run 1.log', 'run 1'],
  ['a/b/c.candump.gz', 'c'],
  ['..', '..'],
  ['\u0007bell\u202e.log', 'bell'],
  ['', 'Log without a name'],
  [`${'x'.repeat(300)}.log`, 'x'.repeat(200)],
])('%j is titled %j', (name, title) => {
  expect(titleOf(name)).toBe(title)
})
