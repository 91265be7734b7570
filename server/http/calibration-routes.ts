import Type from 'typebox';
import {
  CalibrationHistory,
  CalibrationSave,
  CalibrationState,
  MatchingStart,
  SensorsChange,
  SpanReading,
  SpanStart,
  ZeroStart,
} from '../contract/calibration.ts';
import type { BoardCalibrations } from '../session/board-calibrations.ts';
import { answerOutcome } from './answer-outcome.ts';
import type { TypedApp } from './app-parts.ts';

const response = { 200: CalibrationState };
const HistoryQuery = Type.Object(
  { boardId: Type.Optional(Type.String({ minLength: 1, maxLength: 16 })) },
  { additionalProperties: false },
);
const Params = Type.Object({ id: Type.String({ minLength: 1, maxLength: 64 }) });

/** The calibration of the board in use, step by step; the screen asks for the state while one is under way. */
export function registerCalibrationRoutes(app: TypedApp, calibrations: BoardCalibrations): void {
  app.get('/api/calibration', { schema: { response } }, () => calibrations.state());

  app.get(
    '/api/calibration/history',
    { schema: { querystring: HistoryQuery, response: { 200: CalibrationHistory } } },
    (request) => calibrations.history(request.query.boardId),
  );

  app.put('/api/calibration/sensors', { schema: { body: SensorsChange, response } }, (request) =>
    answerOutcome(calibrations.setSensors(request.body)),
  );

  app.post('/api/calibration/zero', { schema: { body: ZeroStart, response } }, (request) =>
    answerOutcome(calibrations.startZero(request.body.air)),
  );

  app.post('/api/calibration/matching', { schema: { body: MatchingStart, response } }, (request) =>
    answerOutcome(calibrations.startMatching(request.body.channels)),
  );

  app.post('/api/calibration/span', { schema: { body: SpanStart, response } }, (request) =>
    answerOutcome(calibrations.startSpan(request.body.channels, request.body.gauge)),
  );

  app.post('/api/calibration/span/readings', { schema: { body: SpanReading, response } }, (request) =>
    answerOutcome(calibrations.takeReading(request.body)),
  );

  app.post('/api/calibration/finish', { schema: { response } }, () => answerOutcome(calibrations.finish()));

  app.post('/api/calibration/discard', { schema: { response } }, () => answerOutcome(calibrations.discard()));

  app.post('/api/calibration/save', { schema: { body: CalibrationSave, response } }, (request) =>
    answerOutcome(calibrations.save(request.body)),
  );

  app.post('/api/calibration/use/:id', { schema: { params: Params, response } }, (request) =>
    answerOutcome(calibrations.use(request.params.id)),
  );
}
