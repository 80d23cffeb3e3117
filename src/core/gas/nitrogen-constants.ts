/** Temperature of the critical point, K; reduces the temperature in the equation of state. */
export const CRITICAL_TEMPERATURE_K = 126.192;

/** Density of the critical point, mol/dm³; reduces the density in the equation of state. */
export const CRITICAL_DENSITY_MOL_PER_DM3 = 11.1839;

/** Molar gas constant that the equation of state was fitted with, J/(mol K). */
export const GAS_CONSTANT_J_PER_MOL_K = 8.31451;

/** Molar mass of nitrogen, g/mol. */
export const MOLAR_MASS_G_PER_MOL = 28.01348;

/** Temperature at which a precharge is stated: 20 °C. */
export const REFERENCE_TEMPERATURE_K = 293.15;
