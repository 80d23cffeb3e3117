import { Controller, Get, Param } from '@nestjs/common';
import { ApiExcludeController } from '@nestjs/swagger';
import { notFound } from '../errors/coded-error';
import { Public } from '../security/allow';
import { problemTable, type ProblemKind } from './problem-table';

/** The addresses in the `type` of a problem lead here: what it means and what to do. */
@Public()
@ApiExcludeController()
@Controller('problems')
export class ProblemsController {
  @Get()
  list(): (ProblemKind & { type: string })[] {
    return Object.entries(problemTable).map(([code, kind]) => ({ type: `/problems/${code}`, ...kind }));
  }

  @Get(':code')
  explain(@Param('code') code: string): ProblemKind & { type: string } {
    const found = this.list().find(({ type }) => type === `/problems/${code}`);
    if (found === undefined) throw notFound('kind of problem called', code);
    return found;
  }
}
