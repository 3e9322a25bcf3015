/** Texts of the live page. */
import { plural } from './plural.js'

export const liveText = {
  title: 'Live',
  noServer:
    'Live needs the firstcrank server beside the truck. These pages were opened as files, so there is nothing to listen to.',
  noSource: 'The server listens to no source. Start it with a live source or a replay, and it appears here.',
  how: 'To watch a bus',
  howSteps: [
    'Connect a laptop to the diagnostic bus with an adapter that the system shows as a CAN interface, set to listen only.',
    'On that laptop, run this and open the address it prints:',
  ],
  howCommand: 'candump -L can0 | npx firstcrank serve --live -',
  choose: 'Sources',
  over: (count: number) => `${count} paused or ended`,
  states: { waiting: 'waiting', live: 'live', paused: 'paused', lost: 'lost', ended: 'ended' },
  safety: 'This is no safety device. It shows what the bus says, late by at least a moment. Watch the engine.',
  stale: (seconds: string) => `Stale: nothing for ${seconds}`,
  fresh: 'Data are coming in',
  waiting: 'Waiting for the first message',
  paused: 'Paused: the figures are no longer now. The alarm still watches.',
  pause: 'Pause',
  resume: 'Go on',
  sound: { on: 'Alarm sound: on', off: 'Alarm sound: off' },
  replay: (speed: string) => `Replay at ${speed}: this is a recording, not the engine now.`,
  noneYet: 'Not known yet: nothing has come.',
  comes: 'waiting',
  noValue: 'sent without a value',
  missing: 'missing',
  unknownYet: 'Nothing has come yet.',
  unread: (count: number) =>
    `${plural(count, 'line has', 'lines have')} come, but none was read as a CAN frame so far. Lines have to be what candump writes.`,
  others: (count: number) =>
    `The bus speaks, ${plural(count, 'frame')} so far, but none has engine speed, oil pressure, coolant or supply. Is this the bus of the engine, and is the key on?`,
  notFollowed: 'Nothing of the engine yet',
  left: (seconds: number) => `${seconds} s left`,
  gone: (seconds: number) => `${seconds} s`,
  lost: 'Connection lost; trying again.',
  ended: 'The source has ended.',
  notThere: 'This source is no longer there. Choose one above.',
  sourceLost: 'The server has lost the source and tries again.',
  oil: 'No oil pressure: stop the engine',
  figures: 'More figures',
  figuresNone: 'None of them has come yet.',
  never: 'not sent',
  from: (sa: number) => `from address ${sa}`,
  old: 'old',
  vitals: { speed: 'Engine speed', oil: 'Oil pressure', coolant: 'Coolant', volts: 'Supply' },
  stages: {
    stale: 'What the engine does now is not known: the data are old. Watch the engine.',
    unknown: 'Engine speed is not known. Watch the engine.',
    standing: (most: number) =>
      `The engine does not turn. Next: the checks by hand, wait for the lamp, then crank, ${most} seconds at most.`,
    'stopped-no-oil':
      'Do not crank. The engine ran without oil pressure. Find out why first: measure with a mechanical gauge.',
    running: 'Running, with oil pressure.',
    'oil-unknown': 'Running, but no oil pressure reading comes: watch a gauge.',
    cranking: (most: number, missed: boolean) =>
      `Cranking: ${most} s at most, then rest the starter for two minutes.${missed ? ' The engine ran without oil pressure before.' : ''}`,
    'oil-wait': (most: number) => `It fired. Oil pressure has to be there within ${most} s.`,
    'no-oil': 'Running without oil pressure. Stop the engine.',
  },
  before: 'Before the first crank, by hand',
  beforeTicked: {
    last: (at: string) => `, last at ${at}`,
    earlier: (at: string) => `. Ticked earlier, at ${at}: for another start, clear the ticks.`,
    clear: 'Clear the ticks',
    kept: (hours: number) =>
      `For the next start. Ticks are kept in this browser for ${hours} hours, and end with their source: a server started anew has none.`,
  },
  ago: 'Seconds ago',
  faults: 'Active faults',
  faultsNone: 'None reported.',
  trend: 'Last minute',
} as const
