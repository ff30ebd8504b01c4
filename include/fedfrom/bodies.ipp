// The bodies of model/, network/ and solve/, for hosts that link nothing: include this in
// exactly one source file of the program, beside the headers it uses elsewhere.
// The library fedfrom::fedfrom has them already.
#include <fedfrom/model/validate/index.ipp>
#include <fedfrom/model/validate/validate.ipp>
#include <fedfrom/model/validate/validate_condition.ipp>
#include <fedfrom/model/validate/validate_element.ipp>
#include <fedfrom/model/validate/validate_function.ipp>
#include <fedfrom/model/validate/validate_tie.ipp>
#include <fedfrom/network/compile.ipp>
#include <fedfrom/solve/sweep.ipp>
