#pragma once
// `mistwright calc`: one question to one of the models' own functions. Values come as text with
// units; answers go out as aligned words or as one flat JSON object.
#include "sim/app/console.h"
#include "sim/app/values.h"

namespace mistwright::app {

struct AirQuestion {
  Text temperature, humidity, pressure;
};

struct DropletQuestion {
  Text diameter, temperature, humidity, height, wind, pressure;
};

struct FilmQuestion {
  Text depth, temperature, humidity, air_speed, net_radiation, leaf_length, break_depth;
};

struct PipeQuestion {
  Text length, diameter, flow, roughness, temperature;
};

struct SunQuestion {
  Text latitude, longitude, time, altitude;
};

// Each answers on standard output and returns an exit status; values that cannot be read are told
// all at once.
int calc(const Manners& manners, const AirQuestion& question);
int calc(const Manners& manners, const DropletQuestion& question);
int calc(const Manners& manners, const FilmQuestion& question);
int calc(const Manners& manners, const PipeQuestion& question);
int calc(const Manners& manners, const SunQuestion& question);

}  // namespace mistwright::app
