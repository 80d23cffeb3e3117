import { judgeFindings, TestJudgement } from './judge-findings';

/**
 * A check of an adjustable steering regulator as its technician states it: the figures are those of the maker's
 * manual, and nothing is assumed here.
 */
export function judgeSteeringRegulator(result: 'passed' | 'failed'): TestJudgement {
  return judgeFindings([
    {
      verdict: result === 'passed' ? 'good' : 'bad',
      sentence: `${result === 'passed' ? 'Passed' : 'Failed'} as stated by the technician; the maker's workshop manual rules.`,
    },
  ]);
}
