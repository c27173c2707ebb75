import type { LEEWAY as EN } from '../en/leeway.ts';

/** What is said of a plan's leeway, in Spanish. */
export const LEEWAY: Readonly<Record<keyof typeof EN, string>> = {
  'confirm_refused.leeway_not_offered':
    'el plan no tiene margen para {bed}; confírmelo tal como está, o sin esa área',
  'altered.leeway_overstepped':
    'el cambio {number} del plan {revision} del {siteDay} sobrepasa el margen que se confirmó',
  'step.leeway_given': 'margen dado',
  'step.leeway_used': 'siguió el día',

  'leeway.none': 'Este plan no tiene margen: corre tal como está.',
  'leeway.asked': '¿Tal como está, o con su margen?',
  'leeway.as_laid': 'tal como está',
  'leeway.with': 'con su margen',
  'leeway.sentence':
    'Con su margen el programa puede seguir el día sin preguntar otra vez: {parts}; como mucho {most} en el día.',
  'leeway.spares':
    '{count, plural, one {hasta # ciclo más en un área} other {hasta # ciclos más en un área}}, ninguno después de las {until}',
  'leeway.left_out':
    '{count, plural, one {# ciclo omitido donde el área no lo necesita} other {hasta # ciclos omitidos donde el área no los necesita}}',
  'leeway.moved': 'cada uno hasta {move} antes o después',
  'leeway.day_holds':
    'Lo que usted miró tiene que valer todo el día: un ciclo puede empezar a otra hora que la del plan. Quien trabaje en el césped necesita un sin agua o una parada; los dos van antes que cualquier margen.',
  'leeway.bed':
    '{bed}: {spares, plural, =0 {ninguno} one {# más} other {hasta # más}} de como mucho {rotations, plural, one {# vuelta} other {# vueltas}}, {leaveOut, plural, =0 {ninguno} other {hasta #}} omitidos, como mucho {most} (puestos {laid, plural, one {# ciclo} other {# ciclos}})',
  'leeway.given': 'Con su margen para {beds}.',
  'leeway.given_all': 'Con su margen para todas las áreas.',
  'leeway.not_given': 'Tal como está: el programa no cambia nada.',
  'leeway.follows': 'El programa sigue el día dentro del margen que confirmó {who}.',
  'leeway.nothing_used': 'No se ha usado nada del margen.',
  'leeway.used': 'Cambiado dentro del margen: {uses}.',
  'leeway.card':
    'El programa sigue el día dentro de su margen: cambio {number}, a las {at}. Las horas de abajo son las que valen ahora.',
  'leeway.evening':
    'El día dentro de su margen: {leftOut} omitidos, {moved} movidos, {added} añadidos.',
  'leeway.use': '{bed}: {parts}',
  'leeway.use_left_out': '{cycles, plural, one {# ciclo omitido} other {# ciclos omitidos}}',
  'leeway.use_moved': '{cycles, plural, one {# ciclo movido} other {# ciclos movidos}}',
  'leeway.use_added': '{cycles, plural, one {# añadido a las {at}} other {# añadidos a las {at}}}',
  'leeway.cycle_left_out': 'omitido',
  'leeway.cycle_moved': 'movido desde las {at}',
  'leeway.cycle_added': 'añadido',
};
