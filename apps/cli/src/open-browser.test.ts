import { expect, test } from 'vitest'
import { openerOf } from './open-browser.js'

test.each<[NodeJS.Platform, NodeJS.ProcessEnv, string | undefined]>([
  ['linux', { DISPLAY: ':0' }, 'xdg-open'],
  ['linux', { WAYLAND_DISPLAY: 'wayland-0' }, 'xdg-open'],
  ['linux', {}, undefined],
  ['linux', { DISPLAY: '' }, undefined],
  ['freebsd', { DISPLAY: ':0' }, 'xdg-open'],
  ['darwin', {}, 'open'],
  ['win32', {}, 'cmd'],
])('on %s with %j it is %s', (platform, environment, program) => {
  expect(openerOf(platform, environment)?.[0]).toBe(program)
})
