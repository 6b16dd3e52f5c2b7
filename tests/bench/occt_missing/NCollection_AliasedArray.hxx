/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file NCollection_AliasedArray.hxx
 * @brief Declarations that OCCT's headers ask for and Debian 12's package leaves out.
 *
 * Its own headers for triangulations include a file of this name. Nothing here is defined: what
 * would really use it does not link, and our references use no triangulations.
 */
#pragma once

#include <Standard_Macro.hxx>
#include <Standard_Type.hxx>

template <int Alignment = 16> class NCollection_AliasedArray
{
  public:
    explicit NCollection_AliasedArray(Standard_Integer stride);
    NCollection_AliasedArray(Standard_Integer stride, Standard_Integer length);
    template <class Value> NCollection_AliasedArray(const Value &begin, Standard_Integer length);
    NCollection_AliasedArray(NCollection_AliasedArray &&other);
    ~NCollection_AliasedArray();

    NCollection_AliasedArray &Move(NCollection_AliasedArray &other);
    Standard_Integer Length() const;
    bool IsEmpty() const;
    template <class Type> const Type &Value(Standard_Integer index) const;
    template <class Type> Type &ChangeValue(Standard_Integer index);

  protected:
    Standard_Byte *myData;
    Standard_Integer myStride, mySize;
};
