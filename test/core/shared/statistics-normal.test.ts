import { normalCdf, normalQuantile } from '../../../src/core/shared/statistics-normal';

it('probe', () => {
  console.log(JSON.stringify([-30,-8,-7.2,-7.05,-5,-3,-1.5,-0.3,0.2,1,2,4].map((z)=>normalCdf(z))), JSON.stringify([1e-300,1e-20,1e-10,1e-4,0.01,0.05,0.0749,0.2,0.4,0.7,0.95,0.999].map(normalQuantile)));
});
