/** The service of config-examples/forecast-http.yaml, at the site's place. */
export function publicForecast({
  latitude,
  longitude,
}: {
  latitude: number;
  longitude: number;
}): Record<string, unknown> {
  return {
    source: 'http_json',
    name: 'public forecast',
    url: `https://api.open-meteo.com/v1/forecast?latitude=${latitude}&longitude=${longitude}&timezone=GMT&wind_speed_unit=ms&past_days=7&forecast_days=4&hourly=temperature_2m,dew_point_2m,wind_speed_10m,shortwave_radiation,precipitation`,
    poll: '2 h',
    tells: 'forecast',
    stamps: 'hour_ending',
    zone: 'Etc/UTC',
    wind_height: '10 m',
    time: { at: '/hourly/time', form: 'iso' },
    fields: {
      air_temp: { at: '/hourly/temperature_2m', unit: '°C' },
      dew_point: { at: '/hourly/dew_point_2m', unit: '°C' },
      wind: { at: '/hourly/wind_speed_10m', unit: 'm/s' },
      solar: { at: '/hourly/shortwave_radiation', unit: 'W/m²' },
      rain: { at: '/hourly/precipitation', unit: 'mm' },
    },
  };
}
