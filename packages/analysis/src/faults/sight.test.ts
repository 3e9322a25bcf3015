import { expect, test } from 'vitest'
import { seconds } from './sight.js'

test.each([
  [0, '0.0 s'],
  [0.04, '40 ms'],
  [1.94, '1.9 s'],
  [37.6, '38 s'],
  [119, '119 s'],
  [120, '2 min'],
  [150, '2 min 30 s'],
  [3661, '61 min 1 s'],
])('%d s reads %s', (value, text) => {
  expect(seconds(value * 1e6)).toBe(text)
})
