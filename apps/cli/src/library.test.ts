import { expect, test } from 'vitest'
import { readArguments } from './arguments.js'
import { CommandError } from './command-error.js'
import { findCommand } from './commands.js'
import { serverError } from './library.js'

const args = readArguments(findCommand('library')!, ['backup', 'stick'])
const failure = (more: object): Error => Object.assign(new Error('made up'), more)

test.each<[string, Error, string]>([
  ['a folder', failure({ code: 'EACCES', syscall: 'mkdir', path: '/stick' }), '/stick: no permission'],
  [
    'a full disk',
    failure({ code: 'ENOSPC', syscall: 'copyfile', path: 'a', dest: '/stick/a' }),
    '/stick/a: the disk is full',
  ],
  ['nothing with a name', failure({ code: 'EMFILE', syscall: 'open' }), 'too many files are open'],
])('what the system refuses is told with its name: %s', (_name, error, message) => {
  const told = serverError(error, args)
  expect(told).toBeInstanceOf(CommandError)
  expect(told.message).toBe(message)
})

test('a mistake of our own is passed on as it is', () => {
  const mistake = new TypeError('made up')
  expect(serverError(mistake, args)).toBe(mistake)
})
