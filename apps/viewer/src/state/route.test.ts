import { describe, expect, it } from 'vitest'
import { compareRoute, formatRoute, PLAIN_BUS, PLAIN_SHEET, parseRoute, type Route, runRoute } from './route.js'

const full: Route = {
  page: 'run',
  run: 'sample:five-volt-short.log.gz',
  view: 'sheet',
  sheet: {
    window: { from: 12.5, to: 40.25 },
    preset: 'air-path',
    plots: [['0.0.61444.190', '0.0.65265.84'], ['1.33.65271.168']],
    at: 13.000001,
    mark: 12.75,
    open: 'fault:0.157.18',
  },
  bus: { part: 'frames', pgn: 61444, sa: 3, row: 77 },
}

const compared: Route = {
  page: 'compare',
  compare: {
    before: 'sample:pedal-wiper-before.log.gz',
    after: 'run:0123',
    align: 'engine-start-2',
    window: { from: -12.5, to: 40 },
    preset: 'air',
    plots: ['0.61444.190', '0.65271.168'],
    at: -1.25,
    open: 'fault:0.91.2',
    all: true,
    vouched: true,
  },
}

describe('routes', () => {
  it.each<[string, Route]>([
    ['the list of runs', { page: 'runs' }],
    ['live', { page: 'live', source: null }],
    ['a live source', { page: 'live', source: 'truck 1' }],
    ['a run', runRoute('file:ab/c d')],
    ['the report of a run', runRoute('run:0011', 'report')],
    ['everything at once', full],
    ['a comparison not yet chosen', compareRoute(null, null)],
    ['a comparison with one run', compareRoute('file:ab c', null)],
    ['everything of a comparison', compared],
  ])('come back from their address: %s', (_, route) => {
    expect(parseRoute(formatRoute(route))).toEqual(route)
  })

  it('read as a person would write them', () => {
    expect(formatRoute(full)).toContain('/run/sample:five-volt-short.log.gz/sheet?t=12.5~40.25&q=air-path')
  })

  it.each(['', '#', '#/nowhere', '#/run', '#/run/'])('lead to the runs where they make no sense: %j', (hash) => {
    expect(parseRoute(hash)).toEqual({ page: 'runs' })
  })

  it.each(['t=5~5', 't=9~3', 't=a~b', 't=', 't=Infinity~4', 'at=x'])('leave out what makes no sense: %s', (query) => {
    expect(parseRoute(`#/run/x/sheet?${query}`)).toEqual({
      page: 'run',
      run: 'x',
      view: 'sheet',
      sheet: PLAIN_SHEET,
      bus: PLAIN_BUS,
    })
  })

  it('survive an address that was cut short', () => {
    expect(parseRoute('#/run/%E0%A4%A/sheet')).toMatchObject({ page: 'run', run: '%E0%A4%A' })
  })
})
